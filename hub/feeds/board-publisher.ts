/**
 * Gives what boards show to a broker, from which relays take it. The hub never waits for it: a
 * broker that is away, slow or wrong costs nothing but its own state, which the lead is told. Kept
 * is at most the newest document; a broker that comes back is given that one and no other.
 *
 * It looks whether its own word is the newest there, too. Where something else stands on top, or nothing
 * (the broker has thrown it out), it says its own again, at most once in two seconds, and tells the lead
 * who else writes there. What is far too large to be ours is thrown out unread.
 */
import { readDocument, splitSigned } from "../../shared/protocol/board-document.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { BoardFeed, PublishedBoard } from "./board-feed.ts";
import { BOARD_STREAM, Broker, newestOf, RELAYS_HASH, STREAM_LENGTH, streamEntries } from "./broker.ts";
import type { BrokerAddress } from "./broker-address.ts";
import type { RelayBook } from "./relay-book.ts";
import { readRelayWord } from "./relay-word.ts";
import { signatureHolds } from "./signature-holds.ts";

const LISTEN_MS = 2000;
/** A relay whose word has not changed for so many looks is struck off the broker's list. */
const GONE_LOOKS = 30;
const MOST_WORDS = 500;
/** More than relays can have said of themselves, bytes. */
const MOST_WORDS_BYTES = 1_000_000;
/** A site that is gone does not stand there for ever, s. */
const KEPT_S = "86400";
/** So long another writer is told after it was seen last. */
const OTHERS_FOR_MS = 30_000;

/** Who else writes to the broker: the hub of another site, another hub with this site's key, or what is none. */
export type OtherWriter = "other site" | "same site" | "no hub";

export interface PublishState {
  /** Without credentials. */
  address: string;
  /** Why nothing arrives there, in a sentence; null while it does. */
  trouble: string | null;
  lastPublishedUtcMs: UtcMs | null;
  /** Seen lately; relays and boards leave its word aside, but for that of the same site. */
  others: OtherWriter | null;
}

export interface PublisherPorts {
  address: BrokerAddress;
  /** The site's public key. */
  key: string;
  boards: BoardFeed;
  book: RelayBook;
  now: () => UtcMs;
}

export class BoardPublisher {
  private readonly broker: Broker;
  /** A document did not arrive there, or has gone again. */
  private missed = false;
  private missedWhy: string | null = null;
  /** The last that we have sent, newest last: what arrived though its answer did not is no stranger's. */
  private readonly sent: string[] = [];
  /** Ids of what was looked at already. */
  private judged: ReadonlySet<string> = new Set();
  private others: OtherWriter | null = null;
  private othersAtMs = Number.NEGATIVE_INFINITY;
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
      trouble: this.broker.trouble ?? this.missedWhy,
      lastPublishedUtcMs: this.lastPublishedUtcMs,
      others: performance.now() - this.othersAtMs < OTHERS_FOR_MS ? this.others : null,
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
    const { broker, sent } = this;
    if (!sent.includes(text)) sent.push(text);
    if (sent.length > STREAM_LENGTH) sent.shift();
    try {
      // The one by itself first: whoever has seen the stream's finds it there.
      await broker.command("SET", newestOf(this.ports.key), text, "EX", KEPT_S);
      await broker.command("XADD", BOARD_STREAM, "MAXLEN", String(STREAM_LENGTH), "*", "doc", text);
      this.lastPublishedUtcMs = this.ports.now();
      this.missedWhy = null;
    } catch {
      // The broker says what is wrong with it; the newest goes when it is back, or has answered a look.
      this.missed = true;
      this.missedWhy = broker.trouble ?? null;
    }
  }

  private async listen(): Promise<void> {
    try {
      await this.lookAtStream();
      if (Number(await this.broker.command("MEMORY", "USAGE", RELAYS_HASH)) > MOST_WORDS_BYTES)
        await this.broker.command("UNLINK", RELAYS_HASH);
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

  private async lookAtStream(): Promise<void> {
    const { broker } = this;
    const entries = await streamEntries(broker);
    if (entries === null) {
      await broker.command("UNLINK", BOARD_STREAM);
      this.note("no hub");
      return;
    }
    // Before anything of ours has gone out, what stands there is from before the start.
    if (this.sent.length === 0) return;
    if (entries[0]?.text !== this.sent.at(-1)) this.missed = true;
    const firstOfOurs = entries.findLastIndex(({ text }) => this.sent.includes(text));
    for (const { id, text } of entries.slice(0, firstOfOurs < 0 ? entries.length : firstOfOurs))
      if (!this.judged.has(id) && !this.sent.includes(text)) this.note(writerOf(text, this.ports.key));
    this.judged = new Set(entries.map(({ id }) => id));
  }

  private note(who: OtherWriter): void {
    this.missed = true;
    this.others = who;
    this.othersAtMs = performance.now();
  }
}

function writerOf(text: string, ownKey: string): OtherWriter {
  const parts = splitSigned(text);
  const key = readDocument(text)?.key;
  if (!parts || key === undefined || !signatureHolds(parts.signed, parts.signature, key)) return "no hub";
  return key === ownKey ? "same site" : "other site";
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
