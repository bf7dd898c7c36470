/**
 * A relay's clock: the hub's own (hub/clock), without a person who could be asked. So a step of this
 * machine's clock is followed, as good as that clock then says it is (a relay may well be up before its
 * machine has heard of the time); and what contradicts the clock without being outvoted counts in its bound. A relay upstream that
 * lies about the time thus makes the bound of this one wide and moves no board.
 */

import type { UtcMs } from "../../shared/time/instants.ts";
import { HubClock, type HubClockOptions } from "../clock/hub-clock.ts";

/** Sources are weighed twice a second; what they come to is asked a thousand times. */
const LOOK_MS = 500;

export class RelayClock {
  private readonly clock: HubClock;
  private readonly mono: () => number;
  private contradicted = { ms: 0, atMono: Number.NEGATIVE_INFINITY };

  constructor(options: Pick<HubClockOptions, "ports" | "epoch" | "sources">) {
    this.mono = options.ports.clock.mono;
    this.clock = new HubClock({ ...options, inRealRun: () => false });
    this.clock.on("step", () => this.clock.adoptStep());
  }

  start(): void {
    this.clock.start();
  }

  stop(): void {
    this.clock.stop();
  }

  tick(): void {
    this.clock.tick();
  }

  now(): UtcMs {
    return this.clock.now();
  }

  /** |clock − UTC| ≤ boundMs, whichever of the sources that contradict each other is right. */
  boundMs(): number {
    const mono = this.mono();
    if (mono - this.contradicted.atMono >= LOOK_MS)
      this.contradicted = { ms: this.contradictedMs(), atMono: mono };
    return Math.max(this.clock.boundMs(), this.contradicted.ms);
  }

  /** How far the clock may be off if those are right who contradict it, ms; 0 where they are outvoted. */
  private contradictedMs(): number {
    const { dispute, sources } = this.clock.status();
    if (!dispute) return 0;
    const against = sources.filter(({ state }) => state === "disagrees");
    return Math.max(0, ...against.map(({ offsetMs, boundMs }) => Math.abs(offsetMs ?? 0) + (boundMs ?? 0)));
  }

  stamp(): { utcMs: UtcMs; boundMs: number } {
    return { utcMs: this.now(), boundMs: this.boundMs() };
  }
}
