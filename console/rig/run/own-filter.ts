import type { FilterState } from "../../../shared/run/facts/filter-state.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";

/**
 * The rig's filter as its own phone knows it. The phone lies beside the rig: silence towards the
 * hub, which makes a filter unknown to everybody else, makes it no less known here.
 */
export function ownFilter(status: RigStatus): FilterState {
  return status.rig.filter === "none by design" ? "none by design" : status.verdict.state;
}
