/**
 * Gives what boards show to a broker, from which relays take it. The hub never waits for it: a
 * broker that is away, slow or wrong costs nothing but its own state, which the lead is told. Kept
 * is at most the newest document; a broker that comes back is given that one and no other.
 */
import type { UtcMs } from "../../shared/time/instants.ts";
import type { BoardFeed, PublishedBoard } from "./board-feed.ts";
import { BOARD_STREAM, Broker, RELAYS_HASH, STREAM_LENGTH } from "./broker.ts";
import type { BrokerAddress } from "./broker-address.ts";
import type { RelayBook } from "./relay-book.ts";
import { readRelayWord } from "./relay-word.ts";

const LISTEN_MS = 2000;
/** A relay whose word has not changed for so many looks is struck off the broker's list. */
const GONE_LOOKS = 30;
const MOST_WORDS = 500;

export interface PublishState {
  /** Without credentials. */
  address: string;
  /** Why nothing arrives there, in a sentence; null while it does. */
  trouble: string | null;
  lastPublishedUtcMs: UtcMs | null;
}

export interface PublisherPorts {
  address: BrokerAddress;
  boards: BoardFeed;
  book: RelayBook;
  now: () => UtcMs;
}

export class BoardPublisher {
  private readonly broker: Broker;
  /** A document did not arrive there. */
  private missed = false;
  private lastPublishedUtcMs: UtcMs | null = null;
  private timer: NodeJS.Timeout | undefined;
  private leave: () => void = () => undefined;
  private readonly words = new Map<string, { text: string; looks: number }>();

  constructor(private readonly ports: PublisherPorts) {
    // Whatever it had may have gone with it.
    this.broker = new Broker(ports.address, "--publish-ca", () => this.follow());
  }

  start(): void {
    this.broker.start();
    this.timer = setInterval(() => void this.listen(), LISTEN_MS);
  }

  state(): PublishState {
    return {
      address: this.ports.address.shown,
      trouble: this.broker.trouble ?? null,
      lastPublishedUtcMs: this.lastPublishedUtcMs,
    };
  }

  stop(): void {
    clearInterval(this.timer);
    this.leave();
    this.broker.stop();
  }

  /** Takes what the feed gives from now on: the newest at once, then one at a time. */
  private follow(): void {
    this.missed = false;
    this.leave();
    this.leave = this.ports.boards.subscribe((board) => this.send(board));
  }

  private async send({ text }: PublishedBoard): Promise<void> {
    try {
      await this.broker.command("XADD", BOARD_STREAM, "MAXLEN", String(STREAM_LENGTH), "*", "doc", text);
      this.lastPublishedUtcMs = this.ports.now();
    } catch {
      // The broker says what is wrong with it; the newest goes when it is back, or has answered a look.
      this.missed = true;
    }
  }

  private async listen(): Promise<void> {
    try {
      const said = pairsOf(await this.broker.command("HGETALL", RELAYS_HASH)).slice(0, MOST_WORDS);
      const gone: string[] = [];
      const seen = new Set(said.map(([id]) => id));
      for (const id of this.words.keys()) if (!seen.has(id)) this.words.delete(id);
      for (const [id, text] of said) {
        const before = this.words.get(id);
        const looks = before?.text === text ? before.looks + 1 : 0;
        this.words.set(id, { text, looks });
        const word = readRelayWord(text);
        if (word && looks === 0) this.ports.book.note(word, true);
        if (!word || looks > GONE_LOOKS) gone.push(id);
      }
      if (gone.length > 0) await this.broker.command("HDEL", RELAYS_HASH, ...gone);
      if (this.missed) this.follow();
    } catch {
      // Told in state().
    }
  }
}

/** A hash as Redis gives it: a list of names and values in turn (RESP2), or a map (RESP3). */
function pairsOf(answer: unknown): [string, string][] {
  if (Array.isArray(answer)) {
    const list = answer.map(String);
    return list.flatMap((name, at): [string, string][] => (at % 2 === 0 ? [[name, list[at + 1] ?? ""]] : []));
  }
  const entries = answer instanceof Map ? [...answer] : Object.entries((answer ?? {}) as object);
  return entries.map(([name, value]) => [String(name), String(value)]);
}
