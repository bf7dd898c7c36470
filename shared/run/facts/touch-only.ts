/** S8: when a filter is touched only. */
import { sunAt } from "../../eclipse/sun.ts";
import type { UtcMs } from "../../time/instants.ts";
import type { RunRecord, SiteState } from "../state.ts";

/** Whether the real Sun is up at the site; where no place is known it may be. */
export function realSunUp({ plan }: SiteState, at: UtcMs): boolean {
  return plan.site === null || sunAt(at, plan.site).up;
}

/** S8: in a practice under the real Sun a filter is touched only, unless its rig is capped or points away. */
export function isTouchOnly(kind: RunRecord["kind"], practiceSafe: boolean, sunIsUp: boolean): boolean {
  return kind === "practice" && sunIsUp && !practiceSafe;
}
