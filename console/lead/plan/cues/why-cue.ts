/** Why a cue of the usual list is there, as the key of its words; null for a cue of the lead's own. */
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { CueAction } from "../../../../shared/plan/model/vocabulary.ts";
import type { WordKey } from "../../../words/words.ts";

/** Where what is done says too little of why. */
const OF_KEY: Readonly<Record<string, WordKey>> = {
  "cue.first-bite": "cues.why.firstBite",
  "cue.partial-before": "cues.why.partial",
  "cue.partial-after": "cues.why.partialAfter",
  "cue.bead-before": "cues.why.beads",
  "cue.bead-after": "cues.why.beads",
  "cue.limb-exposure": "cues.why.beads",
  "cue.corona-brackets": "cues.why.corona",
  "cue.corona-exposure": "cues.why.corona",
  "cue.long-bracket": "cues.why.corona",
  "cue.loosen-tape": "cues.why.loosen",
  "cue.burst-after": "cues.why.eyesDown",
  "cue.recentre-off": "cues.why.recentreOff",
  "cue.lights-out": "cues.why.lightsOut",
  "cue.photograph-clock": "cues.why.photographClock",
  "cue.photograph-clock-stays": "cues.why.photographClock",
};

const OF_ACTION: Readonly<Record<CueAction, WordKey>> = {
  align: "cues.why.align",
  frame: "cues.why.frame",
  focus: "cues.why.focus",
  tape: "cues.why.tape",
  check: "cues.why.check",
  exposure: "cues.why.exposure",
  burst: "cues.why.burst",
  record: "cues.why.record",
  stop: "cues.why.stop",
  "filter-off": "cues.why.filterOff",
  "filter-on": "cues.why.filterOn",
  "filter-check": "cues.why.filterStays",
  cap: "cues.why.cap",
  "hands-off": "cues.why.lookUp",
  "look-up": "cues.why.lookUp",
  "eyes-away": "cues.why.eyesAway",
  "glasses-on": "cues.why.glasses",
  guard: "cues.why.guard",
  recentre: "cues.why.recentre",
};

export function whyKey({ key, action }: Pick<Cue, "key" | "action">, isUsual: boolean): WordKey | null {
  if (!isUsual) return null;
  return (key !== null && Object.hasOwn(OF_KEY, key) ? OF_KEY[key] : undefined) ?? OF_ACTION[action];
}
