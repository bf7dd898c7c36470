/**
 * The Clock port: what a program may ask of the machine it runs on. The only implementations
 * that read real clocks live here (systemClock) and at the edges; everything else takes times
 * as arguments.
 */
import { type MonoMs, monoMs, type UtcMs, utcMs } from "./instants.ts";

declare const performance: { now(): number };

export interface Clock {
  /** Monotonic milliseconds with fraction; never goes back; may stop while the machine sleeps. */
  mono(): MonoMs;
  /** The machine's own idea of UTC, in ms with fraction where it has one; may jump. */
  wall(): UtcMs;
}

/** The clocks of the program's own machine, browser or Node. */
export const systemClock: Clock = {
  mono: () => monoMs(performance.now()),
  wall: () => utcMs(Date.now()),
};
