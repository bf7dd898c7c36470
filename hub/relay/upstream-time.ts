/**
 * UTC as the hub or relay upstream tells it (GET /api/time), a source for a relay's own clock: bursts
 * of exchanges, of which the quickest counts. It may lie anywhere between question and answer, so the
 * bound is half the time between, plus the teller's own.
 */

import { readTime } from "../../shared/protocol/time-answer.ts";
import type { HubClockPorts, OffsetEstimate, SourceReport, TimeSource } from "../clock/ports.ts";
import type { BrokerAddress } from "../feeds/broker-address.ts";
import { WebGet } from "./web-get.ts";

const BURST = 4;
const REST_MS = 30_000;
const AGAIN_MS = 5000;
const PATIENCE_MS = 2000;
const MOST_BYTES = 1024;

export class UpstreamTime implements TimeSource {
  readonly id = "upstream";
  readonly kind = "ntp";
  private timer: NodeJS.Timeout | undefined;
  private running = false;
  private readonly web: WebGet;

  constructor(
    private readonly ports: HubClockPorts,
    address: BrokerAddress,
  ) {
    this.web = new WebGet(address);
  }

  start(report: (r: SourceReport) => void): void {
    this.running = true;
    void this.round(report);
  }

  stop(): void {
    this.running = false;
    clearTimeout(this.timer);
    this.web.close();
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

  private async exchange(): Promise<OffsetEstimate | null> {
    const { clock } = this.ports;
    const asked = clock.mono();
    const answer = await this.web.ask(`/api/time?relay=${asked}`, PATIENCE_MS, MOST_BYTES);
    const told = clock.mono();
    const said = answer.status === 200 ? readTime(JSON.parse(answer.text)) : null;
    return (
      said && {
        offsetMs: said.utcMs - (asked + told) / 2,
        boundMs: said.boundMs + (told - asked) / 2,
        atMono: told,
      }
    );
  }
}
