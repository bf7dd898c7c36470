/**
 * Instants, kept apart by type so that mixing time scales is a compile error.
 *
 * UtcMs   milliseconds of UTC since 1970-01-01T00:00:00Z as POSIX counts them (leap seconds
 *         are not counted); fractions of a millisecond are allowed.
 * RunMs   run time on the same scale as UtcMs. In a real run it equals UTC; in a practice run
 *         it is UTC shifted and perhaps scaled (shared/run/run-time.ts).
 * MonoMs  a device's monotonic clock, its zero unknown and never comparable between devices.
 */
declare const scale: unique symbol;

export type UtcMs = number & { readonly [scale]: "utc" };
export type RunMs = number & { readonly [scale]: "run" };
export type MonoMs = number & { readonly [scale]: "mono" };

/** Marks a number of milliseconds since 1970 as UTC. Throws RangeError when not finite. */
export function utcMs(value: number): UtcMs {
  return finite(value) as UtcMs;
}

/** Marks a number of milliseconds as run time. Throws RangeError when not finite. */
export function runMs(value: number): RunMs {
  return finite(value) as RunMs;
}

/** Marks a reading of a monotonic clock in ms. Throws RangeError when not finite. */
export function monoMs(value: number): MonoMs {
  return finite(value) as MonoMs;
}

/** An instant on any of the scales. */
export type Instant = UtcMs | RunMs | MonoMs;

/** The instant so many milliseconds later on the same scale; earlier for a negative number. */
export function later<At extends Instant>(at: At, byMs: number): At {
  return (at + byMs) as At;
}

/** The first of some instants of one scale; of none, one that is after all others. */
export function earliest<At extends Instant>(...instants: readonly At[]): At {
  return Math.min(...instants) as At;
}

/** The last of some instants of one scale; of none, one that is before all others. */
export function latest<At extends Instant>(...instants: readonly At[]): At {
  return Math.max(...instants) as At;
}

function finite(value: number): number {
  if (!Number.isFinite(value)) throw new RangeError(`not a finite number of milliseconds: ${value}`);
  return value;
}
