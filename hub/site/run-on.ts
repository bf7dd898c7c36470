/** Whether a run is on, in the wide sense: nothing that can wait is done to people during one. */
import { localEclipse } from "../../shared/plan/local-eclipse.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import type { SiteState } from "../../shared/run/state.ts";
import type { UtcMs } from "../../shared/time/instants.ts";

/** Set-up and packing up belong to it, ms. */
const BEFORE_MS = 3 * 3_600_000;
const AFTER_MS = 3_600_000;

export function isRunOn(state: SiteState, now: UtcMs): boolean {
  if (practiceAt(state, now)) return true;
  return isNearEclipse(state.circumstances, BEFORE_MS, AFTER_MS, now);
}

/** From `beforeMs` before C1 to `afterMs` after C4. */
export function isNearEclipse(
  circumstances: SiteState["circumstances"],
  beforeMs: number,
  afterMs: number,
  now: UtcMs,
): boolean {
  const { c1, c4 } = localEclipse(circumstances).contacts;
  return c1 !== null && c4 !== null && now > c1 - beforeMs && now < c4 + afterMs;
}
