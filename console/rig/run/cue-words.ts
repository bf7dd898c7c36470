/** The words of a cue as its mode asks for, and what the big button says of it. */

import { cueWords } from "../../parts/words-for-cue.ts";
import { t, type WordKey } from "../../words/words.ts";
import type { CueLine } from "./run-picture.ts";

type Spoken = Pick<CueLine, "cue" | "mode">;

/** What the operator is told. Never an order to take a filter off unless the mode is plain. */
export function cueSentence({ cue, mode }: Spoken): string {
  switch (mode) {
    case "plain":
      return cueWords(cue);
    case "touch":
      return cueWords(cue, { practiceTouch: true });
    case "by-eye":
      return cueWords(cue, { byEye: true });
    default:
      return t(HELD[mode]);
  }
}

const HELD = {
  "filter-first": "rig.cue.filterFirst",
  stay: "rig.cue.stay",
  overcast: "rig.cue.overcast",
  "too-late": "rig.cue.tooLate",
  never: "rig.cue.never",
  // There is a spoken clip of these words; why, the notice above says.
  revoked: "cue.filter-stays",
  covered: "rig.cue.covered",
} as const satisfies Record<string, WordKey>;

/** What the big button says: that it has been done. */
export function confirmWords({ cue, mode }: Spoken): string {
  if (mode === "touch") return t("rig.confirm.touched");
  switch (cue.action) {
    case "filter-off":
      return t("rig.confirm.filterOff");
    case "filter-on":
      return t("rig.confirm.filterOn");
    case "cap":
      return t("rig.confirm.capped");
    default:
      return t("rig.confirm.done");
  }
}
