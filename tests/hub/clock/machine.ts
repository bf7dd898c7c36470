/** A machine whose clocks a test moves by hand. */
import type {
  HubClockPorts,
  OffsetEstimate,
  SourceKind,
  SourceReport,
  TimeSource,
} from "../../../hub/clock/ports.ts";
import { monoMs, utcMs } from "../../../shared/time/instants.ts";

export const EPOCH = 1_817_200_000_000;

export class Machine {
  /** True time since EPOCH, ms. */
  true = 0;
  private monoValue = 5000;
  private uptimeValue = 100_000;
  /** Wall clock − UTC, ms. */
  wallError = 0;
  /** Rate of the monotonic and wall clocks against true time, ppm. */
  ppm = 0;

  readonly ports: HubClockPorts = {
    clock: { mono: () => monoMs(this.monoValue), wall: () => utcMs(EPOCH + this.true + this.wallError) },
    uptimeMs: () => Math.floor(this.uptimeValue / 10) * 10,
    uptimeStepMs: 10,
  };

  run(ms: number): void {
    this.true += ms;
    this.monoValue += ms * (1 + this.ppm * 1e-6);
    this.uptimeValue += ms * (1 + this.ppm * 1e-6);
    this.wallError += ms * this.ppm * 1e-6;
  }

  sleep(ms: number): void {
    this.true += ms;
    this.uptimeValue += ms;
  }

  get utc() {
    return utcMs(EPOCH + this.true);
  }

  /** An estimate of UTC that is wrong by `errorMs`. */
  estimate(errorMs: number, boundMs: number): OffsetEstimate {
    return {
      offsetMs: EPOCH + this.true + errorMs - this.monoValue,
      boundMs,
      atMono: monoMs(this.monoValue),
    };
  }

  /** The same machine after its program was started anew. */
  restartProgram(): void {
    this.monoValue = 12;
  }
}

/** A source that reports what the test says. */
export class ScriptedSource implements TimeSource {
  constructor(
    readonly id: string,
    readonly kind: SourceKind,
  ) {}
  private tell: ((r: SourceReport) => void) | null = null;
  start(report: (r: SourceReport) => void): void {
    this.tell = report;
  }
  stop(): void {
    this.tell = null;
  }
  get running(): boolean {
    return this.tell !== null;
  }
  say(state: SourceReport["state"], estimate?: OffsetEstimate): void {
    this.tell?.({ id: this.id, kind: this.kind, state, detail: "", estimate });
  }
}
