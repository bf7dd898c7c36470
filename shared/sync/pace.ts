/**
 * How often a device asks the hub for the time. Pure.
 *
 * A poll is a burst of exchanges: the first wakes a phone's radio, the best of each direction
 * counts. Three exchanges 15 ms apart bring the error of a single one down by a third to two thirds
 * (measured on the network rig). Numbers here are ours, chosen on that rig.
 */
export interface PaceContext {
  linkUp: boolean;
  /** Time to the next contact in ms (negative: past). */
  toNextContactMs?: number | undefined;
}

export interface Pace {
  /** Polls in steady state, ms apart. Boards use a longer one than rigs. */
  steadyMs: number;
  /** Exchanges in a poll. */
  burst: number;
}

export const RIG_PACE: Pace = { steadyMs: 4000, burst: 3 };
export const BOARD_PACE: Pace = { steadyMs: 15_000, burst: 2 };

/** Milliseconds between the exchanges of one burst. */
export const BURST_GAP_MS = 15;

/** Contacts nearer than this quicken the pace. */
const CONTACT_NEAR_MS = 180_000;

/** Time from one poll to the next in ms, for a device joined (or woken) `sinceJoinMs` ago. */
export function pollGapMs(pace: Pace, sinceJoinMs: number, context: PaceContext): number {
  if (!context.linkUp) return 1000;
  const calm = pace.steadyMs / RIG_PACE.steadyMs;
  if (sinceJoinMs < 5000) return 250 * calm;
  if (sinceJoinMs < 25_000) return 500 * calm;
  if (sinceJoinMs < 40_000) return 1000 * calm;
  if (sinceJoinMs < 90_000) return 2000 * calm;
  const to = context.toNextContactMs;
  // until 10 s after a contact, so that the filter-on cues behind C3 are served too
  if (to !== undefined && to > -10_000 && to < CONTACT_NEAR_MS) return 1500 * calm;
  return pace.steadyMs;
}
