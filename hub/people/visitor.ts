/**
 * Simulated visitors: the very client that a board's page has, on plain Node. They share connections and
 * what one of them has checked, so that a process holds thousands; each keeps a clock and a pace of its own.
 */
import { Agent, get } from "node:http";
import { BoardFetcher, type BoardReply, type FetchPorts } from "../../shared/link/board-fetcher.ts";
import type { Clock } from "../../shared/time/clock.ts";
import { signatureHolds } from "../feeds/signature-holds.ts";

export interface VisitorPorts {
  /** Where the board is, "http://127.0.0.1:8630"; asked anew each time. */
  origin: () => string;
  /** The key of the address they were given; null for none. */
  key: string | null;
  clock: Clock;
  /** 0 … 1 */
  chance: () => number;
}

/** What all visitors of a process have asked for. */
export interface Traffic {
  boards: number;
  unchanged: number;
  times: number;
  failed: number;
  /** Bodies and headers that came, without what TCP and TLS add. */
  bytes: number;
}

const MOST_CONNECTIONS = 256;
const PATIENCE_MS = 5000;
const MOST_CHECKED = 64;

export class Crowd {
  readonly traffic: Traffic = { boards: 0, unchanged: 0, times: 0, failed: 0, bytes: 0 };
  readonly visitors: BoardFetcher[] = [];
  private readonly agent = new Agent({ keepAlive: true, maxSockets: MOST_CONNECTIONS });
  private readonly checked = new Map<string, boolean>();

  /** One more board, started. */
  add({ origin, key, clock, chance }: VisitorPorts): BoardFetcher {
    const visitor = new BoardFetcher({
      clock,
      timers: {
        after(ms, task) {
          const timer = setTimeout(task, ms);
          return () => clearTimeout(timer);
        },
      },
      key,
      askBoard: (etag) => this.board(origin(), etag),
      askTime: (regular) => this.time(origin(), regular),
      check: async (...words) => this.check(...words),
      chance,
    });
    this.visitors.push(visitor);
    visitor.start();
    return visitor;
  }

  stop(): void {
    for (const visitor of this.visitors) visitor.stop();
    this.agent.destroy();
  }

  private async board(origin: string, etag: string | null): Promise<BoardReply> {
    const { status, headers, text } = await this.ask(`${origin}/api/board`, etag);
    if (status === 304) this.traffic.unchanged++;
    else this.traffic.boards++;
    const seconds = Number(headers["retry-after"]);
    return { status, text, etag: headers.etag ?? null, retryAfterMs: seconds > 0 ? seconds * 1000 : 0 };
  }

  private async time(origin: string, regular: boolean): Promise<unknown> {
    this.traffic.times++;
    return JSON.parse((await this.ask(`${origin}/api/time?${regular ? "minute" : "first"}`, null)).text);
  }

  private ask(url: string, etag: string | null) {
    type Reply = { status: number; headers: Record<string, string | undefined>; text: string };
    return new Promise<Reply>((resolve, reject) => {
      const request = get(
        url,
        { agent: this.agent, timeout: PATIENCE_MS, headers: etag === null ? {} : { "If-None-Match": etag } },
        (response) => {
          const parts: Buffer[] = [];
          response.on("data", (part: Buffer) => parts.push(part));
          response.on("end", () => {
            const body = Buffer.concat(parts);
            this.traffic.bytes += body.length + response.rawHeaders.join("  \r\n").length;
            const headers = response.headers as Record<string, string | undefined>;
            resolve({ status: response.statusCode ?? 0, headers, text: body.toString() });
          });
          response.on("error", reject);
        },
      );
      request.on("timeout", () => request.destroy(new Error("no answer")));
      request.on("error", (error) => {
        this.traffic.failed++;
        reject(error);
      });
    });
  }

  /** Ed25519 by Node's own crypto; a document that one visitor has checked is not checked again. */
  private check(...[signed, signature, key]: Parameters<FetchPorts["check"]>): boolean {
    const name = `${key} ${signature} ${signed}`;
    const known = this.checked.get(name);
    if (known !== undefined) return known;
    if (this.checked.size >= MOST_CHECKED) this.checked.clear();
    const holds = signatureHolds(signed, signature, key);
    this.checked.set(name, holds);
    return holds;
  }
}
