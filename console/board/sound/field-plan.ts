/**
 * What a laptop with loudspeakers says to the field, and when: an instant and what the board tells in, a
 * list of sounds out. Pure; the audio desk (console/rig/sound) puts it on the audio clock.
 *
 *   - Before glasses go on by the clock: "Get ready", a pip on each of the last seconds, and "Glasses on"
 *     on the second itself, in every language in turn, all of it twice (S13: never later than the board).
 *   - Glasses that go on sooner (a call, a cover, a lost link): "Glasses on" at once.
 *   - "Cover every lens" before everything else (S7).
 *   - Before totality words alone, and no pip that could be taken for leave to look: glasses come off by
 *     the lead's call only, which is not spoken here (S13).
 *
 * One voice at a time: languages follow each other. The clips are those of the rigs' phones; a device
 * that can speak says what has no clip, in the language shown.
 */
import { later, type UtcMs } from "../../../shared/time/instants.ts";
import type { PlannedSound } from "../../rig/sound/sound-plan.ts";
import type { Locale } from "../../words/words.ts";

export interface FieldSound extends PlannedSound {
  /** Whose words these are; null for pips. */
  locale: Locale | null;
}

export interface SaidIn {
  ready: string;
  glassesOn: string;
  cover: string;
}

export interface FieldInput {
  /** In this order. */
  languages: readonly Locale[];
  words: (locale: Locale) => SaidIn | null;
  /** When glasses go on, or went on the last time, real UTC; null when there is no such instant. */
  glassesOnUtcMs: UtcMs | null;
  /** It was known ahead: they go on by the clock. */
  byClock: boolean;
  /** Since when every lens is to be covered; null while it is not. */
  coverUtcMs: UtcMs | null;
  /** C2 of a totality that is ahead, real UTC. */
  totalityUtcMs: UtcMs | null;
  /** "One minute to totality", in the language shown. */
  minute: { text: string; locale: Locale };
  lengthOf: (words: string) => number;
}

const PIPS = 5;
const PIP_MS = 100;
const READY_MS = 10_000;
const MINUTE_MS = 60_000;
const GAP_MS = 250;
const ALARM_MS = 1600;
const TIMES = 2;
/** What is to be said at once is put so far ahead that the audio clock can still take it, ms. */
const SOON_MS = 120;

export function fieldPlan(input: FieldInput): FieldSound[] {
  const { glassesOnUtcMs, byClock, coverUtcMs, totalityUtcMs, minute } = input;
  if (coverUtcMs !== null) {
    const alarm = sound("cover", "alarm", later(coverUtcMs, SOON_MS), ALARM_MS);
    return [alarm, ...inTurn(input, "cover", later(alarm.atUtcMs, ALARM_MS), TIMES)];
  }
  const sounds: FieldSound[] = [];
  if (totalityUtcMs !== null) {
    const at = later(totalityUtcMs, -MINUTE_MS);
    const said = sound(`minute/${totalityUtcMs}`, "words", at, input.lengthOf(minute.text));
    sounds.push({ ...said, saying: minute.text, locale: minute.locale });
    sounds.push(...inTurn(input, "ready", later(totalityUtcMs, -READY_MS), 1, totalityUtcMs));
  }
  if (glassesOnUtcMs === null) return sounds;
  if (byClock) {
    const pipsFrom = later(glassesOnUtcMs, -PIPS * 1000);
    sounds.push(...inTurn(input, "ready", later(glassesOnUtcMs, -READY_MS), 1, pipsFrom));
    for (let n = PIPS; n > 0; n--)
      sounds.push(sound(`pip-${n}/glasses`, "pip", later(glassesOnUtcMs, -n * 1000), PIP_MS));
  }
  const onUtcMs = byClock ? glassesOnUtcMs : later(glassesOnUtcMs, SOON_MS);
  sounds.push(...inTurn(input, "glassesOn", onUtcMs, TIMES));
  return sounds;
}

/** In every language, one after the other; what would run on past `before` is left out. */
function inTurn(
  { languages, words, lengthOf }: FieldInput,
  what: keyof SaidIn,
  fromUtcMs: UtcMs,
  times: number,
  before?: UtcMs,
): FieldSound[] {
  const sounds: FieldSound[] = [];
  let at = fromUtcMs;
  for (let time = 0; time < times; time++)
    for (const locale of languages) {
      const saying = words(locale)?.[what];
      if (!saying) continue;
      const lengthMs = lengthOf(saying);
      if (before !== undefined && at + lengthMs > before) return sounds;
      sounds.push({
        ...sound(`${what}/${locale}/${time}/${Math.round(fromUtcMs / 1000)}`, "words", at, lengthMs),
        saying,
        locale,
      });
      at = later(at, lengthMs + GAP_MS);
    }
  return sounds;
}

function sound(id: string, kind: PlannedSound["kind"], atUtcMs: UtcMs, lengthMs: number): FieldSound {
  return { id, cueId: "field", kind, atUtcMs, lengthMs, saying: null, locale: null };
}
