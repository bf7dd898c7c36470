/**
 * What one photograph of the clock says of its camera's clock: an interval for camera − UTC.
 *
 * The camera's stamp is its time cut down to a step; the code in the picture is the hub's UTC at which
 * it was put up, and it was seen some time later: it stands for its hold, a display takes up to 80 ms
 * to show it (measured on screens of many kinds, no published source), and the clock that made it has
 * a bound of its own.
 */

export interface ClockPhotograph {
  /** What the camera stamped, ms, as if its own time were UTC. */
  stampMs: number;
  /** The step of its stamps: 1000 for whole seconds, 10 for hundredths. */
  stepMs: number;
  /** UTC at which the code that was read was put up, ms. */
  shownUtcMs: number;
  /** For how long a code stands: 200, or 100 with fast panels. */
  holdMs: number;
  /** Bound of the clock that showed it against UTC, ms. */
  boundMs: number;
}

/** The most a display takes from being told to being seen, ms. */
export const DISPLAY_LATENCY_MS = 80;

/** One constraint: at `utcMs` the camera was ahead of UTC by `leastMs` to `mostMs`. */
export interface OffsetInterval {
  utcMs: number;
  leastMs: number;
  mostMs: number;
}

export function intervalOf(photo: ClockPhotograph): OffsetInterval {
  const { stampMs, stepMs, shownUtcMs, holdMs, boundMs } = photo;
  return stampInterval(
    stampMs,
    stepMs,
    shownUtcMs - boundMs,
    shownUtcMs + holdMs + DISPLAY_LATENCY_MS + boundMs,
  );
}

/** A stamp that was made somewhere between two instants of UTC, ms. */
export function stampInterval(
  stampMs: number,
  stepMs: number,
  earliestUtcMs: number,
  latestUtcMs: number,
): OffsetInterval {
  return {
    utcMs: (earliestUtcMs + latestUtcMs) / 2,
    leastMs: stampMs - latestUtcMs,
    mostMs: stampMs + stepMs - earliestUtcMs,
  };
}
