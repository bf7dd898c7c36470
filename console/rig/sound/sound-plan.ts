/**
 * What is to be heard, and when: cues and an instant in, a list of sounds out. Pure but for its memory; the audio
 * desk puts the list on the audio clock and takes back what is no longer in it.
 *
 * A cue with a count-in gets short pips on each of its last seconds and a long one on the second
 * itself, in the manner of radio time signals; its words follow the long pip, so that nobody
 * acts on a warning. A cue without one gets its words when it is due. Nothing that must not be
 * done now is counted in: under doubt the words say so, and there is no pip to act on (S5).
 *
 * One voice at a time: the more urgent wins, then the nearer. What loses is said up to LATER_MS
 * later or not at all. Two count-ins never run through each other. In totality nothing is said
 * but what the operator must do.
 */
import { isHeld } from "../../../shared/run/cues/manner.ts";
import type { PracticeStarted } from "../../../shared/run/events.ts";
import { utcOfRun } from "../../../shared/run/run-time.ts";
import { earliest, later, type UtcMs } from "../../../shared/time/instants.ts";
import type { CueLine } from "../run/run-picture.ts";

type SoundKind = "pip" | "long-pip" | "words" | "alarm";

export interface PlannedSound {
  /** The same sound keeps its id from one plan to the next, also when it moves. */
  id: string;
  /** `rigId/cue`, "cover", or "lead" for a message. */
  cueId: string;
  kind: SoundKind;
  /** Onset, real UTC ms. */
  atUtcMs: UtcMs;
  lengthMs: number;
  /** Words in the language shown; null for pips. */
  saying: string | null;
}

export interface SoundInput {
  lines: readonly CueLine[];
  practice: PracticeStarted | null;
  nowUtcMs: UtcMs;
  /** From C2 to C3, real UTC; null at a site that is not total. */
  totalityUtcMs: { from: UtcMs; to: UtcMs } | null;
  /** When "Cover every lens" was heard, real UTC; null while it does not stand (S7). */
  coverUtcMs: UtcMs | null;
  /** When a lead's urgent message came that is not shown near a cue: it is an alarm without words. */
  rungUtcMs: UtcMs | null;
  say: (line: CueLine) => string;
  ready: string;
  cover: string;
  /** How long it takes to say something, ms. */
  lengthOf: (words: string) => number;
  /** The page's memory of when it said what makes safe, by cue; kept from one plan to the next. */
  said?: Map<string, UtcMs>;
}

const PIP_MS = 100;
const LONG_PIP_MS = 500;
const ALARM_MS = 1600;
/** How far ahead sounds are put on the audio clock: longer than a hidden page's timers sleep. */
export const HORIZON_MS = 90_000;
/** Sounds this old still take part in who may speak, so that a plan does not change by ageing. */
const PAST_MS = 20_000;
const LATER_MS = 2500;
const COVER_EVERY_MS = 8000;
const COVER_TIMES = 3;
/** A late filter-on is said again this often, ms; common practice, no source. */
const AGAIN_EVERY_MS = 10_000;
const AGAIN_TIMES = 6;

interface Draft extends PlannedSound {
  urgency: number;
  /** May be said later when another voice is in the way. */
  movable: boolean;
}

/** All sounds from now on, by time; `said` is brought up to date. */
export function soundPlan(input: SoundInput): PlannedSound[] {
  const { nowUtcMs, said } = input;
  const before = new Map(said);
  said?.clear();
  const cues = input.lines
    .filter((line) => line.state !== "done" && line.state !== "skipped" && line.mode !== "covered")
    .map((line) => {
      const urgency = urgencyOf(line);
      return { line, dueUtcMs: saidFrom(line, urgency, input, before), urgency };
    })
    .filter(
      ({ dueUtcMs, line }) =>
        dueUtcMs < nowUtcMs + HORIZON_MS + 60_000 &&
        dueUtcMs > nowUtcMs - PAST_MS - (line.cue.action === "filter-on" ? 120_000 : 0),
    )
    .filter(({ urgency }) => input.coverUtcMs === null || urgency >= URGENT);
  const counts = countIns(cues);
  const words = placed([...coverWords(input), ...cues.flatMap((cue) => wordsOf(cue, counts, input))]);
  return [...coverAlarms(input), ...counts.flatMap((count) => count.sounds), ...words]
    .filter((sound) => sound.atUtcMs > nowUtcMs && sound.atUtcMs < nowUtcMs + HORIZON_MS)
    .sort((a, b) => a.atUtcMs - b.atUtcMs || (a.id < b.id ? -1 : 1));
}

interface DueCue {
  line: CueLine;
  dueUtcMs: UtcMs;
  urgency: number;
}

const URGENT = 4;
/** What is due at once sounds this much later: a little ahead of the audio clock, ms. */
const SOON_MS = 100;

/**
 * From when on a cue is said. What makes safe may be due at once, by a call that was on its way or by a
 * doubt: then it is from now on, and not from an instant that has passed unheard.
 */
function saidFrom(
  { key, dueMs }: CueLine,
  urgency: number,
  { practice, nowUtcMs, said }: SoundInput,
  before: ReadonlyMap<string, UtcMs>,
): UtcMs {
  let from = utcOfRun(practice, dueMs);
  if (!said || urgency < URGENT) return from;
  const soon = later(nowUtcMs, SOON_MS);
  if (from <= nowUtcMs) from = earliest(before.get(key) ?? soon, soon);
  said.set(key, from);
  return from;
}

function urgencyOf({ cue, mode }: CueLine): number {
  switch (cue.action) {
    case "filter-on":
    case "eyes-away":
    case "glasses-on":
    case "cap":
      return URGENT;
    case "filter-off":
      return isHeld(mode) ? 2 : 3;
    default:
      return cue.countInS > 0 || cue.confirm ? 2 : 1;
  }
}

interface CountIn {
  cue: DueCue;
  sounds: Draft[];
}

/** Count-ins, the more urgent first; one that would run through another gives way. */
function countIns(cues: readonly DueCue[]): CountIn[] {
  const counted = cues
    .filter(({ line }) => line.cue.countInS > 0 && !isHeld(line.mode) && line.state !== "late")
    .sort((a, b) => b.urgency - a.urgency || a.dueUtcMs - b.dueUtcMs || (a.line.key < b.line.key ? -1 : 1));
  const taken: { fromMs: UtcMs; toMs: UtcMs; dueMs: UtcMs }[] = [];
  const found: CountIn[] = [];
  for (const cue of counted) {
    const { dueUtcMs, line } = cue;
    // Two rigs at the same instant share one count-in.
    if (taken.some((span) => Math.abs(span.dueMs - dueUtcMs) < 300)) continue;
    let fromMs = later(dueUtcMs, -line.cue.countInS * 1000);
    // The second itself lies in another's count-in: its long pip would be taken for the other's.
    if (taken.some((span) => dueUtcMs > span.fromMs - 500 && dueUtcMs < span.toMs + 300)) continue;
    for (const span of taken)
      if (span.dueMs < dueUtcMs && span.toMs + 300 > fromMs) fromMs = later(span.toMs, 300);
    const sounds: Draft[] = [];
    for (let s = line.cue.countInS; s >= 1; s--) {
      const at = later(dueUtcMs, -s * 1000);
      if (at >= fromMs) sounds.push(pip(cue, `pip-${s}`, at, PIP_MS));
    }
    sounds.push(pip(cue, "long-pip", dueUtcMs, LONG_PIP_MS));
    taken.push({
      fromMs: earliest(fromMs, later(dueUtcMs, -1000)),
      toMs: later(dueUtcMs, LONG_PIP_MS),
      dueMs: dueUtcMs,
    });
    found.push({ cue, sounds });
  }
  return found;
}

function pip(cue: DueCue, name: string, atUtcMs: UtcMs, lengthMs: number): Draft {
  return {
    id: `${cue.line.key}/${name}`,
    cueId: cue.line.key,
    kind: name === "long-pip" ? "long-pip" : "pip",
    atUtcMs,
    lengthMs,
    saying: null,
    urgency: cue.urgency,
    movable: false,
  };
}

function wordsOf(cue: DueCue, counts: readonly CountIn[], input: SoundInput): Draft[] {
  const { line, dueUtcMs, urgency } = cue;
  const saying = input.say(line);
  const own = counts.find((count) => count.cue === cue);
  const words = (name: string, at: UtcMs, what: string, rank: number, movable: boolean): Draft => ({
    id: `${line.key}/${name}`,
    cueId: line.key,
    kind: "words",
    atUtcMs: at,
    lengthMs: input.lengthOf(what),
    saying: what,
    urgency: rank,
    movable,
  });
  const drafts = [words("words", own ? later(dueUtcMs, LONG_PIP_MS + 100) : dueUtcMs, saying, urgency, true)];
  const first = own?.sounds[0];
  if (first && first.kind === "pip" && (urgency >= 3 || !inTotality(input, first.atUtcMs))) {
    const at = later(first.atUtcMs, -input.lengthOf(input.ready) - 300);
    drafts.push(words("ready", at, input.ready, urgency - 0.5, false));
  }
  if (line.cue.action === "filter-on") {
    for (let n = 1; n <= AGAIN_TIMES; n++)
      drafts.push(words(`again-${n}`, later(dueUtcMs, n * AGAIN_EVERY_MS), saying, urgency, true));
  }
  return drafts;
}

function inTotality({ totalityUtcMs: span }: SoundInput, atUtcMs: UtcMs): boolean {
  return span !== null && atUtcMs >= span.from && atUtcMs < span.to;
}

function coverWords(input: SoundInput): Draft[] {
  return coverTimes(input).map((at, n) => ({
    id: `cover/words-${n}`,
    cueId: "cover",
    kind: "words",
    atUtcMs: later(at, ALARM_MS),
    lengthMs: input.lengthOf(input.cover),
    saying: input.cover,
    urgency: 9,
    movable: false,
  }));
}

function coverAlarms(input: SoundInput): Draft[] {
  const { rungUtcMs } = input;
  const alarm = (cueId: string, at: UtcMs, n: number): Draft => ({
    id: `${cueId}/alarm-${n}`,
    cueId,
    kind: "alarm",
    atUtcMs: at,
    lengthMs: ALARM_MS,
    saying: null,
    urgency: 9,
    movable: false,
  });
  const covers = coverTimes(input).map((at, n) => alarm("cover", at, n));
  return rungUtcMs === null ? covers : [...covers, alarm("lead", later(rungUtcMs, 100), rungUtcMs)];
}

function coverTimes({ coverUtcMs }: SoundInput): UtcMs[] {
  if (coverUtcMs === null) return [];
  return Array.from({ length: COVER_TIMES }, (_, n) => later(coverUtcMs, 100 + n * COVER_EVERY_MS));
}

/** Who may speak when. */
function placed(drafts: readonly Draft[]): Draft[] {
  const order = [...drafts].sort(
    (a, b) => b.urgency - a.urgency || a.atUtcMs - b.atUtcMs || (a.id < b.id ? -1 : 1),
  );
  const spoken: Draft[] = [];
  for (const draft of order) {
    // The same words for two rigs at one instant are said once.
    const twin = spoken.some(
      (other) => other.saying === draft.saying && Math.abs(other.atUtcMs - draft.atUtcMs) < LATER_MS,
    );
    if (twin) continue;
    const at = freeFrom(draft, spoken);
    if (at !== null) spoken.push({ ...draft, atUtcMs: at });
  }
  return spoken;
}

function freeFrom(draft: Draft, spoken: readonly Draft[]): UtcMs | null {
  let at = draft.atUtcMs;
  for (const other of [...spoken].sort((a, b) => a.atUtcMs - b.atUtcMs)) {
    const free = later(other.atUtcMs, other.lengthMs + 150);
    if (at < free && at + draft.lengthMs + 150 > other.atUtcMs) at = free;
  }
  if (at === draft.atUtcMs) return at;
  return draft.movable && at - draft.atUtcMs <= LATER_MS ? at : null;
}
