/**
 * Everything a rig page shows at an instant, from what the phone holds and its clock. Pure, so
 * that the page runs alone: no hub is asked for anything.
 */

import type { ClockReading, SessionView } from "../../../shared/link/session-types.ts";
import type { LocalEclipse } from "../../../shared/plan/local-eclipse.ts";
import type { ClockHealth } from "../../../shared/run/doubt.ts";
import type { PracticeStarted } from "../../../shared/run/events.ts";
import { practiceAt } from "../../../shared/run/run-time.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import { type RunView, viewRigs } from "../../../shared/run/views/run-view.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { type OwnPlace, withOwnPlace } from "../place/own-place.ts";
import { type RunPicture, runPicture } from "./run-picture.ts";

export interface RigScene {
  now: UtcMs;
  state: SiteState;
  /** Of this phone's rigs alone. */
  view: RunView;
  /** This phone's rigs that are in the plan. */
  rigs: RigStatus[];
  gets: LocalEclipse;
  practice: PracticeStarted | null;
  cover: boolean;
  picture: RunPicture;
}

/** Null before anything is known of the site. `elsewhere`: the phone knows itself to be away from the plan's place. */
export function rigScene(
  session: SessionView,
  reading: ClockReading,
  rigIds: readonly string[],
  own: OwnPlace | null = null,
  elsewhere = false,
): RigScene | null {
  if (!session.state) return null;
  const now = reading.utcMs;
  const state = withOwnPlace(session.state, own, now);
  const practice = practiceAt(state, now);
  const view = viewRigs(rigIds, state, session.presence, healthNow(session.clockHealth, reading), now, {
    cover: session.cover,
    revoked: session.refusedRigs.filter(({ reason }) => reason === "revoked").map(({ rigId }) => rigId),
    // A practice hangs on the hub's own clock, wherever one practises.
    elsewhere: elsewhere && practice === null,
  });
  const { gets } = view;
  // In the order in which this phone has joined them.
  const rigs = rigIds.flatMap((id) => view.rigs.find((status) => status.rig.id === id) ?? []);
  const picture = runPicture(view, rigs);
  return { now, state, view, rigs, gets, practice, cover: session.cover, picture };
}

/** The bounds grow while a phone is alone, also between two changes of the session. */
function healthNow(health: ClockHealth, reading: ClockReading): ClockHealth {
  const hubBoundMs = reading.utcBoundMs - reading.boundMs;
  return {
    ...health,
    boundMs: reading.boundMs,
    hubBoundMs: Number.isNaN(hubBoundMs) ? Number.POSITIVE_INFINITY : Math.max(0, hubBoundMs),
  };
}
