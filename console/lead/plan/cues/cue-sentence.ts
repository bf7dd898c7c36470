/** A cue as a sentence: "20 s before C2, within 10 s: take the filter off. 5 s of hands …". */
import "../../../words/bundles/cues.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { isFilterAction } from "../../../../shared/plan/model/vocabulary.ts";
import { cameraShort } from "../../../parts/camera-text.ts";
import { offsetWords } from "../../../parts/words-for-anchor.ts";
import { cueWords, needsWords } from "../../../parts/words-for-cue.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t } from "../../../words/words.ts";

export interface CueSentence {
  /** "20 s before C2, within 10 s:" */
  when: string;
  /** What is done, as its operator hears it. */
  words: string;
  /** "5 s of hands, the operator confirms."; empty where there is nothing to say. */
  about: string;
}

/** `list`: in which it stands, for the words of what it goes along with. */
export function cueSentence(cue: Cue, list: readonly Cue[] = []): CueSentence {
  const at = whenWords(cue, list);
  const window = windowWords(cue);
  const when = window === "" ? t("cues.when", { when: at }) : t("cues.whenWithin", { when: at, window });
  return { when: startedLarge(when), words: cueWords(cue), about: aboutWords(cue) };
}

/** The whole of it, for search and for people who listen. */
export function sentenceText(cue: Cue, list: readonly Cue[] = []): string {
  const { when, words, about } = cueSentence(cue, list);
  return [cue.on ? "" : t("cues.off"), when, words, about].filter(Boolean).join(" ");
}

/** "20 s before C2", or of a cue that goes along with another: "5 s after “Start the burst.”" */
function whenWords(cue: Cue, list: readonly Cue[]): string {
  const leader = cue.along && list.find(({ id }) => id === cue.along?.cueId);
  if (!cue.along || !leader) return offsetWords(cue.anchor, cue.offsetS);
  const { byS } = cue.along;
  const values = { words: cueWords(leader), length: lengthWords(Math.abs(byS)) };
  if (Math.round(byS) === 0) return t("cues.along.with", values);
  return t(byS < 0 ? "cues.along.before" : "cues.along.after", values);
}

/** How far it may be from its time; empty where it may not. */
export function windowWords({ earliestS, latestS }: Pick<Cue, "earliestS" | "latestS">): string {
  const early = lengthWords(-earliestS);
  const late = lengthWords(latestS);
  if (earliestS === 0 && latestS === 0) return "";
  if (-earliestS === latestS) return t("cues.window.both", { length: late });
  if (earliestS === 0) return t("cues.window.later", { length: late });
  return latestS === 0 ? t("cues.window.earlier", { length: early }) : t("cues.window.from", { early, late });
}

export function repeatWords({ everyS, until }: NonNullable<Cue["repeat"]>): string {
  return t("cues.about.repeat", {
    every: lengthWords(everyS),
    until: offsetWords(until.anchor, until.offsetS),
  });
}

function aboutWords(cue: Cue): string {
  const parts = [
    cue.handsS > 0 ? t("cues.about.hands", { length: lengthWords(cue.handsS) }) : "",
    cue.confirm ? t("cues.about.confirm") : "",
    cue.countInS > 0 ? t("cues.about.countIn", { length: lengthWords(cue.countInS) }) : "",
    cue.repeat ? repeatWords(cue.repeat) : "",
    cue.camera ? cameraShort(cue.camera) : "",
    needsWords(cue),
    // A filter cue says what it does; the lead's own words stand beside it.
    isFilterAction(cue.action) && cue.say ? t("cues.about.note", { text: cue.say }) : "",
  ].filter(Boolean);
  return parts.length === 0 ? "" : `${startedLarge(parts.join(t("cues.comma")))}.`;
}

function startedLarge(text: string): string {
  return text.replace(/^\p{Ll}/u, (letter) => letter.toLocaleUpperCase());
}
