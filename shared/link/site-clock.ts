/**
 * The eclipse clock of a device: the follower (shared/sync) fed by probes over the socket. It
 * runs on without the hub, and says how far it may be off. Before the first exchange it shows
 * the device's own clock with an unknown (infinite) bound.
 */
import type { ProbeAnswer } from "../protocol/messages.ts";
import type { ClockHealth } from "../run/doubt.ts";
import { ClockFollower } from "../sync/follower.ts";
import { BURST_GAP_MS, type Pace } from "../sync/pace.ts";
import type { Clock } from "../time/clock.ts";
import { later, type MonoMs, type UtcMs, utcMs } from "../time/instants.ts";
import { isRecord } from "./from-hub.ts";
import type { ClockReading, SocketPort, Timers } from "./session-types.ts";

const PROBE_TIMEOUT_MS = 5000;
/** A change of what stands against the hub's clock that is worth writing down at once, ms. */
const APART_CHANGED_MS = 500;

export class SiteClock {
  readonly follower: ClockFollower;
  private disputed = false;
  private slept = false;
  private apartMs = 0;
  private savedApartMs = 0;
  /** The hub's word on its clock has changed since save(). */
  unsaved = false;
  private lastUnsynced = 0;

  constructor(
    private readonly clock: Clock,
    pace?: Pace,
  ) {
    this.follower = new ClockFollower(pace);
  }

  /** Real UTC, never backwards. */
  now(): UtcMs {
    return this.reading().utcMs;
  }

  reading(): ClockReading {
    const reading = this.follower.read(this.clock.mono());
    if (reading) return reading;
    this.lastUnsynced = Math.max(this.lastUnsynced, this.clock.wall());
    return {
      utcMs: utcMs(this.lastUnsynced),
      boundMs: Number.POSITIVE_INFINITY,
      utcBoundMs: Number.POSITIVE_INFINITY,
      state: "none",
    };
  }

  /** When `now()` will show an instant, on the device's monotonic clock, ms. */
  monoAt(utc: UtcMs): MonoMs {
    const mono = this.clock.mono();
    return this.follower.monoAt(utc, mono) ?? later(mono, utc - this.now());
  }

  health(): ClockHealth {
    const { boundMs, utcBoundMs } = this.reading();
    return {
      boundMs,
      hubBoundMs: Number.isFinite(boundMs) ? utcBoundMs - boundMs : Number.POSITIVE_INFINITY,
      disputed: this.disputed,
      slept: this.slept,
      apartMs: this.apartMs,
    };
  }

  /** The device's own clock minus the eclipse clock, ms; null before the first exchange. */
  ownOffsetMs(): number | null {
    const reading = this.follower.read(this.clock.mono());
    return reading ? this.clock.wall() - reading.utcMs : null;
  }

  /** What is to be known after a reload: the time, and what the hub said of its clock (S5). */
  save(): unknown {
    const follower = this.follower.export(this.clock.mono(), this.clock.wall());
    if (!follower) return null;
    this.unsaved = false;
    this.savedApartMs = this.apartMs;
    return { follower, disputed: this.disputed, slept: this.slept, apartMs: this.apartMs };
  }

  /** Goes on from save(); anything else changes nothing. */
  restore(saved: unknown): void {
    const { follower, disputed, slept, apartMs } = (saved ?? {}) as Record<string, unknown>;
    if (typeof follower !== "string") return;
    if (!this.follower.restore(follower, this.clock.mono(), this.clock.wall())) return;
    this.disputed = disputed === true;
    this.slept = slept === true;
    this.apartMs = lengthOf(apartMs);
    this.savedApartMs = this.apartMs;
  }

  /** Sends a burst of probes; `heard` is called for each answer. */
  burst(socket: SocketPort, timers: Timers, exchanges: number, sent: () => void, heard: () => void): void {
    this.follower.noteProbe(this.clock.mono());
    for (let n = 0; n < exchanges; n++) {
      timers.after(n * BURST_GAP_MS, () => {
        if (!socket.connected) return;
        if (n === 0) sent();
        const t1 = this.clock.mono();
        socket
          .request("probe", { t1 }, PROBE_TIMEOUT_MS)
          .then((answer) => {
            const t4 = this.clock.mono();
            heard();
            if (isProbeAnswer(answer)) this.take(t1, answer, t4);
          })
          .catch(() => undefined);
      });
    }
  }

  private take(t1: MonoMs, answer: ProbeAnswer, t4: MonoMs): void {
    const disputed = answer.disputed === true;
    const slept = answer.slept === true;
    const apartMs = lengthOf(answer.apartMs);
    const moved = Math.abs(apartMs - this.savedApartMs) > APART_CHANGED_MS;
    if (disputed !== this.disputed || slept !== this.slept || moved) this.unsaved = true;
    this.disputed = disputed;
    this.slept = slept;
    this.apartMs = apartMs;
    this.follower.addSample({
      t1,
      t2: utcMs(answer.t2),
      t3: utcMs(answer.t3),
      t4,
      hubBoundMs: answer.hubBoundMs,
      course: answer.course,
    });
  }
}

/** What the hub says of its own clock in full is the follower's to judge (shared/sync). */
function isProbeAnswer(data: unknown): data is ProbeAnswer {
  return isRecord(data) && Number.isFinite(data.t2) && Number.isFinite(data.t3);
}

/** Ms that another program says; what is no number, or missing, is nothing. */
function lengthOf(ms: unknown): number {
  return typeof ms === "number" && Number.isFinite(ms) && ms > 0 ? ms : 0;
}
