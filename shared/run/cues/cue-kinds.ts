/**
 * What kind of cue a cue is, by its action and by its key where that says more: which make things
 * safe (S5: never later, earlier by the doubt), which send eyes to the sky (S13).
 */
import type { Cue } from "../../plan/model/plan.ts";
import { isLookUp } from "../../plan/safety/check-eye-cues.ts";
import { isFilterOff } from "../../plan/safety/check-filter-cues.ts";

type Named = Pick<Cue, "action" | "key">;

const SAFE_ACTIONS: ReadonlySet<Cue["action"]> = new Set<Cue["action"]>([
  "filter-on",
  "eyes-away",
  "glasses-on",
  "cap",
]);
/** "Eyes down. Burst." and what else calls eyes down. */
const EYES_DOWN_KEYS = ["cue.burst-after", "cue.eyes-down"];

export function makesSafeCue(cue: Named): boolean {
  if (isFilterOff(cue) || isLookUp(cue)) return false;
  return SAFE_ACTIONS.has(cue.action) || EYES_DOWN_KEYS.some((key) => cue.key?.startsWith(key) ?? false);
}

/** Whether a cue uncovers optics again, which doubt makes later. */
export function uncaps(cue: Named): boolean {
  return cue.key?.startsWith("cue.projection-uncap") ?? false;
}

export { isFilterOff, isLookUp };
