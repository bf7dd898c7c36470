/**
 * What a cue says to its operator: the lead's own words, else the catalogue's. A filter cue always
 * says what it does, whatever the lead wrote: those words stand beside it as a note (`cueNote`),
 * so that no slip of the pen turns "on" into "off". Two things override all of them. In a practice
 * under the real Sun a filter cue says to touch the filter and leave it on (S8); and a filter-off
 * cue in doubt says that only the eye decides (S5). The practice words win.
 */
import type { Cue } from "../../shared/plan/plan.ts";
import { isFilterAction } from "../../shared/plan/vocabulary.ts";
import { isWordKey, t } from "../words/words.ts";

export interface CueManner {
  /** S8: filter cues are touched only. */
  practiceTouch?: boolean;
  /** S5: a filter-off cue waits for what the operator sees. */
  byEye?: boolean;
}

export function cueWords(
  cue: Pick<Cue, "key" | "say" | "action">,
  { practiceTouch = false, byEye = false }: CueManner = {},
): string {
  const offOrOn = isFilterAction(cue.action);
  if (practiceTouch) {
    const touch = keyed(cue.key, "touch") ?? (offOrOn ? t("cue.anyFilter.touch") : null);
    if (touch) return touch;
  }
  if (byEye && cue.action === "filter-off") return keyed(cue.key, "by-eye") ?? t("cue.anyFilter.by-eye");
  if (offOrOn) return t(`cue.${cue.action}`);
  if (cue.say) return cue.say;
  if (cue.key && isWordKey(cue.key)) return t(cue.key);
  const action = `cue.${cue.action}`;
  return isWordKey(action) ? t(action) : (cue.key ?? cue.action);
}

/** The lead's own words of a filter cue, to stand beside what it says; "" when there are none. */
export function cueNote(cue: Pick<Cue, "say" | "action">): string {
  return isFilterAction(cue.action) ? (cue.say ?? "") : "";
}

function keyed(key: string | null, manner: "touch" | "by-eye"): string | null {
  const full = `${key ?? ""}.${manner}`;
  return isWordKey(full) ? t(full) : null;
}
