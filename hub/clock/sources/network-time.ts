/**
 * Network time by SNTP from one server (one source each, so that they can outvote a liar).
 * Bursts of four exchanges 2 s apart, of which the one with the least root distance counts; then a
 * rest: 64 s, doubling to 256 s while it goes well and to 15 min while the server does not answer.
 * A server that says RATE is asked half as often, one that says DENY or RSTR no more (RFC 5905
 * section 7.4).
 */
import { randomBytes } from "node:crypto";
import { createSocket } from "node:dgram";
import { lookup } from "node:dns/promises";
import type { HubClockPorts, OffsetEstimate, SourceReport, SourceState, TimeSource } from "../ports.ts";
import { NTP_PORT, ntpEstimate, ntpRequest, readNtpAnswer } from "./ntp-packet.ts";

export interface NetworkTimeOptions {
  ports: HubClockPorts;
  host: string;
  port?: number;
  /** Time between exchanges of a burst, ms (a server's rate limit is usually 2 s). */
  spacingMs?: number;
  /** Rest after the first burst, ms. */
  restMs?: number;
  timeoutMs?: number;
}

const BURST = 4;
const LONGEST_REST_MS = 256_000;
const LONGEST_SILENCE_MS = 900_000;

export class NetworkTime implements TimeSource {
  readonly id: string;
  readonly kind = "ntp";
  private running = false;
  private timer: NodeJS.Timeout | null = null;
  private cancel: (() => void) | null = null;
  private restMs: number;

  constructor(private readonly options: NetworkTimeOptions) {
    this.id = `ntp:${options.host}${options.port && options.port !== NTP_PORT ? `:${options.port}` : ""}`;
    this.restMs = options.restMs ?? 64_000;
  }

  start(report: (r: SourceReport) => void): void {
    this.running = true;
    report({ id: this.id, kind: this.kind, state: "waiting", detail: "" });
    void this.round(report);
  }

  stop(): void {
    this.running = false;
    if (this.timer) clearTimeout(this.timer);
    this.cancel?.();
  }

  private async round(report: (r: SourceReport) => void): Promise<void> {
    const say = (state: SourceState, detail: string, estimate?: OffsetEstimate) =>
      this.running && report({ id: this.id, kind: this.kind, state, detail, estimate });
    let best: (OffsetEstimate & { delayMs: number; stratum: number }) | null = null;
    let trouble = "no answer";
    let ended = false;
    for (let k = 0; k < BURST && this.running; k++) {
      if (k > 0) await this.pause(this.options.spacingMs ?? 2000);
      const got = await this.exchange();
      if (typeof got === "string") {
        trouble = got;
        if (got === "kissRate" || got === "kissDeny") break;
        if (got === "no answer" && k === 0) break;
      } else if (!best || got.boundMs < best.boundMs) best = got;
    }
    if (!this.running) return;
    if (trouble === "kissDeny") ended = true;
    if (best) {
      say("good", `stratum ${best.stratum}, delay ${best.delayMs.toFixed(1)} ms`, {
        offsetMs: best.offsetMs,
        boundMs: best.boundMs,
        atMono: best.atMono,
      });
      this.restMs = Math.min(LONGEST_REST_MS, this.restMs * 2);
    } else {
      say(trouble === "unsynchronised" ? "unsynchronised" : ended ? "refused" : "unreachable", trouble);
      this.restMs = Math.min(LONGEST_SILENCE_MS, this.restMs * 2);
    }
    if (trouble === "kissRate") this.restMs = Math.max(this.restMs, LONGEST_REST_MS);
    if (ended) return;
    await this.pause(
      best || trouble === "kissRate" ? this.restMs : Math.max(this.options.restMs ?? 8000, this.restMs / 8),
    );
    if (this.running) void this.round(report);
  }

  /** One exchange; what went wrong as text. Never rejects, takes no longer than the timeout. */
  private async exchange(): Promise<(OffsetEstimate & { delayMs: number; stratum: number }) | string> {
    const { host, port = NTP_PORT, timeoutMs = 1500, ports } = this.options;
    let address: { address: string; family: number };
    try {
      address = await lookup(host);
    } catch {
      return "name not found";
    }
    if (!this.running) return "stopped";
    const cookie = randomBytes(8);
    return new Promise((resolve) => {
      const socket = createSocket(address.family === 6 ? "udp6" : "udp4");
      const end = (value: (OffsetEstimate & { delayMs: number; stratum: number }) | string) => {
        clearTimeout(timer);
        this.cancel = null;
        socket.removeAllListeners("message");
        try {
          socket.close();
        } catch {
          // closed already
        }
        resolve(value);
      };
      const timer = setTimeout(() => end("no answer"), timeoutMs);
      this.cancel = () => end("stopped");
      socket.on("error", (e) => end(e.message));
      let t1 = ports.clock.mono();
      socket.on("message", (m, from) => {
        const t4 = ports.clock.mono();
        if (from.port !== port) return;
        const answer = readNtpAnswer(m, cookie, ports.clock.wall());
        if (answer === "otherOrigin" || answer === "notAnswer") return; // not ours: go on waiting
        end(
          typeof answer === "string" ? answer : { ...ntpEstimate(answer, t1, t4), stratum: answer.stratum },
        );
      });
      socket.connect(port, address.address, () => {
        t1 = ports.clock.mono();
        socket.send(ntpRequest(cookie), (e) => e && end(e.message));
      });
    });
  }

  private pause(ms: number): Promise<void> {
    return new Promise((resolve) => {
      this.cancel = () => {
        if (this.timer) clearTimeout(this.timer);
        resolve();
      };
      this.timer = setTimeout(resolve, ms);
      this.timer.unref();
    });
  }
}
