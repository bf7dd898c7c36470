/**
 * UTC as the hub or relay upstream tells it (GET /api/time), a source for a relay's own clock: bursts
 * of exchanges, of which the quickest counts. It may lie anywhere between question and answer, so the
 * bound is half the time between, plus the teller's own.
 */
import type { HubClockPorts, OffsetEstimate, SourceReport, TimeSource } from "../clock/ports.ts";

const BURST = 4;
const REST_MS = 30_000;
const AGAIN_MS = 5000;
const PATIENCE_MS = 2000;

export class UpstreamTime implements TimeSource {
  readonly id = "upstream";
  readonly kind = "ntp";
  private timer: NodeJS.Timeout | undefined;
  private running = false;

  constructor(
    private readonly ports: HubClockPorts,
    private readonly origin: string,
  ) {}

  start(report: (r: SourceReport) => void): void {
    this.running = true;
    void this.round(report);
  }

  stop(): void {
    this.running = false;
    clearTimeout(this.timer);
  }

  private async round(report: (r: SourceReport) => void): Promise<void> {
    const found: OffsetEstimate[] = [];
    for (let n = 0; n < BURST && this.running; n++) {
      const one = await this.exchange().catch(() => undefined);
      if (one) found.push(one);
      else break;
    }
    if (!this.running) return;
    const best = found.sort((a, b) => a.boundMs - b.boundMs)[0];
    const { id, kind } = this;
    report(
      best
        ? { id, kind, state: "good", detail: "from upstream", estimate: best }
        : { id, kind, state: "unreachable", detail: "no answer" },
    );
    this.timer = setTimeout(() => void this.round(report), best ? REST_MS : AGAIN_MS);
  }

  private async exchange(): Promise<OffsetEstimate | undefined> {
    const { clock } = this.ports;
    const asked = clock.mono();
    const answer = await fetch(`${this.origin}/api/time`, {
      signal: AbortSignal.timeout(PATIENCE_MS),
      redirect: "error",
    });
    const told = clock.mono();
    const { utcMs, boundMs } = (await answer.json()) as { utcMs?: unknown; boundMs?: unknown };
    if (!Number.isFinite(utcMs) || !Number.isFinite(boundMs) || Number(boundMs) < 0) return undefined;
    return {
      offsetMs: Number(utcMs) - (asked + told) / 2,
      boundMs: Number(boundMs) + (told - asked) / 2,
      atMono: told,
    };
  }
}
