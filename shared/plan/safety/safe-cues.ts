/** Which cues make things safe (S5: never later, earlier by the doubt; S9: there in every variant). */
import type { Cue } from "../model/cue.ts";
import { isLookUp } from "./check-eye-cues.ts";
import { isFilterOff } from "./check-filter-cues.ts";

/** What makes things safe by its action alone. */
export const SAFE_ACTIONS: ReadonlySet<Cue["action"]> = new Set<Cue["action"]>([
  "filter-on",
  "eyes-away",
  "glasses-on",
  "cap",
]);
/** "Eyes down. Burst." and what else calls eyes down. */
const EYES_DOWN_KEYS = ["cue.burst-after", "cue.eyes-down"];

export function makesSafeCue(cue: Pick<Cue, "action" | "key">): boolean {
  if (isFilterOff(cue) || isLookUp(cue)) return false;
  return SAFE_ACTIONS.has(cue.action) || EYES_DOWN_KEYS.some((key) => cue.key?.startsWith(key) ?? false);
}
