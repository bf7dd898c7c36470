/** What kind of cue a cue is, by its action and by its key where that says more (S5, S13). */
import type { Cue } from "../../plan/model/cue.ts";
import { isLookUp } from "../../plan/safety/check-eye-cues.ts";
import { isFilterOff } from "../../plan/safety/check-filter-cues.ts";
import { makesSafeCue } from "../../plan/safety/safe-cues.ts";

/** Whether a cue uncovers optics again, which doubt makes later. */
export function uncaps(cue: Pick<Cue, "action" | "key">): boolean {
  return cue.key?.startsWith("cue.projection-uncap") ?? false;
}

export { isFilterOff, isLookUp, makesSafeCue };
