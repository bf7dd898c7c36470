/**
 * Where a relay has the board from: the broker's stream, or another relay or the hub by HTTP. Either
 * is asked again and again for the newest and nothing else, so that whatever dies and comes back is
 * gone on with, and nothing is ever late. What it says of itself goes the other way on the same path.
 */
import { MOST_BOARD_BYTES } from "../../shared/protocol/board-document.ts";
import { BOARD_STREAM, Broker, RELAYS_HASH } from "../feeds/broker.ts";
import type { BrokerAddress } from "../feeds/broker-address.ts";
import { certificateWords } from "../feeds/certificate-words.ts";
import { RELAY_HEADER, type RelayWord } from "../feeds/relay-word.ts";
import type { BoardHolder } from "./held-board.ts";
import { WebGet } from "./web-get.ts";

export interface Upstream {
  start(): void;
  stop(): void;
  /** Why nothing comes, in words; undefined while it does. */
  trouble(): string | undefined;
}

export interface UpstreamPorts {
  address: BrokerAddress;
  holder: BoardHolder;
  /** What this relay says of itself now. */
  word: () => RelayWord;
}

/** The option that gives an authority of one's own. */
export const FROM_CA = "--from-ca";
const STREAM_EVERY_MS = 250;
const WORD_EVERY_MS = 2000;
const WEB_EVERY_MS = 1000;
const WEB_PATIENCE_MS = 3000;

/** Runs a task again and again with a rest between; a task that fails is not the end. */
class Round {
  private timer: NodeJS.Timeout | undefined;
  private over = false;

  constructor(
    private readonly restMs: number,
    private readonly task: () => Promise<void>,
  ) {}

  start(): void {
    void this.turn();
  }

  stop(): void {
    this.over = true;
    clearTimeout(this.timer);
  }

  private async turn(): Promise<void> {
    await this.task().catch(() => undefined);
    if (!this.over) this.timer = setTimeout(() => void this.turn(), this.restMs);
  }
}

export function brokerUpstream({ address, holder, word }: UpstreamPorts): Upstream {
  const broker = new Broker(address, FROM_CA);
  let saidAtMs = Number.NEGATIVE_INFINITY;
  const round = new Round(STREAM_EVERY_MS, async () => {
    const text = newestText(await broker.command("XREVRANGE", BOARD_STREAM, "+", "-", "COUNT", "1"));
    if (text !== undefined) holder.take(text);
    if (performance.now() - saidAtMs < WORD_EVERY_MS) return;
    const said = word();
    await broker.command("HSET", RELAYS_HASH, said.id, JSON.stringify(said));
    saidAtMs = performance.now();
  });
  return {
    start() {
      broker.start();
      round.start();
    },
    stop() {
      round.stop();
      broker.stop();
    },
    trouble: () => broker.trouble,
  };
}

/** The document in [[id, ["doc", text]]]; undefined where the stream is empty or holds something else. */
function newestText(answer: unknown): string | undefined {
  const entry = Array.isArray(answer) ? answer[0] : undefined;
  const fields: unknown = Array.isArray(entry) ? entry[1] : undefined;
  if (!Array.isArray(fields)) return undefined;
  const at = fields.map(String).indexOf("doc");
  const text = at >= 0 ? String(fields[at + 1]) : "";
  return text.length > 0 && text.length <= MOST_BOARD_BYTES ? text : undefined;
}

export function webUpstream({ address, holder, word }: UpstreamPorts): Upstream {
  let trouble: string | undefined = "has not answered yet";
  let etag: string | undefined;
  const web = new WebGet(address);
  const round = new Round(WEB_EVERY_MS, async () => {
    try {
      const headers = {
        [RELAY_HEADER]: JSON.stringify(word()),
        ...(etag !== undefined && { "If-None-Match": etag }),
      };
      const answer = await web.ask("/api/board", WEB_PATIENCE_MS, MOST_BOARD_BYTES, headers);
      if (answer.status === 304) {
        holder.heardAtMs = performance.now();
        trouble = undefined;
        return;
      }
      if (answer.status !== 200 || !holder.take(answer.text)) {
        trouble = `answers ${answer.status} without a board that is newer`;
        etag = undefined;
        return;
      }
      etag = answer.etag;
      trouble = undefined;
    } catch (error) {
      trouble = certificateWords(error, FROM_CA) ?? "does not answer";
      etag = undefined;
    }
  });
  return {
    start: () => round.start(),
    stop() {
      round.stop();
      web.close();
    },
    trouble: () => trouble,
  };
}
