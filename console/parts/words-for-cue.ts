/**
 * What a cue says to its operator. `putWords` says a cue as it is put now (shared/run/cues decides
 * how): the same words on phone, array, sounds and notes. `cueWords` says a cue of a list that is
 * read beforehand.
 *
 * A filter cue always says what it does, whatever the lead wrote: those words stand beside it as a
 * note, so that no slip of the pen turns "on" into "off". The same for every cue of the lead's own
 * words while the Sun is bare (S14): "Filter stays on." comes first.
 */
import type { Cue } from "../../shared/plan/model/cue.ts";
import { isFilterAction } from "../../shared/plan/model/vocabulary.ts";
import { isLookUp } from "../../shared/run/cues/cue-kinds.ts";
import type { PutCue } from "../../shared/run/cues/instruction.ts";
import { isWordKey, t } from "../words/words.ts";

/** A cue's words as a list read beforehand has them. */
export function cueWords(cue: Pick<Cue, "key" | "say" | "action">): string {
  if (isFilterAction(cue.action)) return t(`cue.${cue.action}`);
  if (cue.say) return cue.say;
  if (cue.key && isWordKey(cue.key)) return t(cue.key);
  const action = `cue.${cue.action}`;
  return isWordKey(action) ? t(action) : (cue.key ?? cue.action);
}

type Put = Pick<PutCue, "cue" | "mode" | "ownWords" | "exposed" | "lookedThrough">;

/** What the operator is told now. Never an order to unfilter unless the manner is plain. */
export function putWords({ cue, mode, ownWords, exposed, lookedThrough }: Put): string {
  switch (mode) {
    case "plain":
      if (cue.action === "filter-on" && exposed && lookedThrough) return t("cue.eyes-filter-on");
      if (isFilterAction(cue.action) || isLookUp(cue)) return cueWords({ ...cue, say: null });
      if (ownWords === "note") return t("cue.filter-stays");
      if (ownWords === "note, glasses") return t("cue.glasses-stay");
      return cueWords(cue);
    case "touch":
      return (
        keyed(cue.key, "touch") ?? (isFilterAction(cue.action) ? t("cue.anyFilter.touch") : cueWords(cue))
      );
    case "rehearsed":
      return t("cue.look-up.rehearsed");
    case "unsaid":
      return t("cue.look-up.unsaid");
    case "by-eye":
      if (isLookUp(cue)) return t("cue.look-up.by-eye");
      return keyed(cue.key, "by-eye") ?? t("cue.anyFilter.by-eye");
    case "revoked":
      // There is a spoken clip of these words; why, the notice above says.
      return isLookUp(cue) ? t("cue.look-up.held") : t("cue.filter-stays");
    default:
      return isLookUp(cue) ? t("cue.look-up.held") : t(`cue.held.${mode}`);
  }
}

/** The lead's own words where they are no headline, to stand beside what the cue says; else "". */
export function cueNote({ cue, ownWords }: Pick<PutCue, "cue" | "ownWords">): string {
  return ownWords === "headline" ? "" : (cue.say ?? "");
}

/** Whom and what it takes besides its operator; "" for nobody and nothing. */
export function needsWords({ people, tool }: Pick<Cue, "people" | "tool">): string {
  return [people === 2 && t("cue.two"), tool && t("cue.tool", { tool })].filter(Boolean).join(" · ");
}

function keyed(key: string | null, manner: "touch" | "by-eye"): string | null {
  const full = `${key ?? ""}.${manner}`;
  return isWordKey(full) ? t(full) : null;
}
