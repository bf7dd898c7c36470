/**
 * Facts on their way to the hub (SPEC L1): stored before anything else, sent in order, deleted
 * only after the hub has acknowledged them. A fact the hub refuses for its form leaves the
 * outbox and stays visible among the rejected.
 *
 * What the hub has answered is out of this list whatever the store does: a store that fails must
 * not hold up what comes after. What it could not forget it is asked to forget again with the next
 * batch; should the page end before that, the fact goes out once more under its id, which the hub
 * takes once.
 */
import type { Fact } from "../run/orders/commands.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import { isAnswer } from "./from-hub.ts";
import type { QueuedFact, SocketPort, StorePort } from "./session-types.ts";

const BATCH = 20;
const ANSWER_TIMEOUT_MS = 5000;
/** Refusals after which sending again could help. */
const PASSING = new Set<Refusal["code"]>(["internal", "too-many"]);
/** A hub may ask to be left alone for so long at most, ms: what waits here may concern eyes. */
const REST_MOST_MS = 10_000;

type Unnumbered = { id: string; fact: Omit<Fact, "deviceSeq"> };

export class Outbox {
  items: readonly QueuedFact[] = [];
  rejected: readonly { id: string; fact: Fact; refusal: Refusal }[] = [];
  private sending = false;
  /** On their way to the store: they have no number of their own yet. */
  private readonly storing = new Set<string>();
  /** The hub has them; another page of this device may still hold them. */
  private readonly answered = new Set<string>();
  private unforgotten: (() => Promise<void>)[] = [];
  /** Above every number seen here; the store has the last word, since other pages may have reported. */
  private next = 0;
  /** The hub asked to wait until then, on the monotonic clock, ms. */
  private restUntil = Number.NEGATIVE_INFINITY;

  constructor(
    private readonly store: StorePort,
    private readonly socket: SocketPort,
    private readonly changed: () => void,
    /** The hub has taken a fact as this event; called while the fact is still in the list. */
    private readonly taken: (item: QueuedFact, seq: number) => void = () => undefined,
    /** Monotonic, ms. Without it the hub is asked again at the next flush, whatever it said. */
    private readonly mono: () => number = () => Number.POSITIVE_INFINITY,
  ) {}

  load(items: readonly QueuedFact[], rejected: Outbox["rejected"]): void {
    this.items = [...items, ...this.items];
    this.rejected = rejected;
    this.seen(items);
  }

  /** Takes in what other pages of this device have put into the store. */
  async readOthers(): Promise<void> {
    const waiting = await this.store.waiting();
    const known = new Set(this.items.map(({ id }) => id));
    const others = waiting.filter(({ id }) => !known.has(id) && !this.answered.has(id));
    if (others.length === 0) return;
    this.items = [...others, ...this.items].sort((a, b) => a.fact.deviceSeq - b.fact.deviceSeq);
    this.seen(others);
    this.changed();
  }

  /**
   * Resolves when the fact is safe on this device. Its number is at least `atLeast`, and above all
   * others of the device.
   */
  async add({ id, fact }: Unnumbered, atLeast: number): Promise<void> {
    const item: QueuedFact = { id, fact: { ...fact, deviceSeq: Math.max(this.next, atLeast) } };
    this.items = [...this.items, item];
    this.seen([item]);
    this.storing.add(item.id);
    // Storing begins before anything is drawn: drawing may take longer than a page has to live.
    const stored = this.store.queue(item);
    this.changed();
    try {
      const deviceSeq = await stored;
      if (deviceSeq !== item.fact.deviceSeq) {
        const numbered = { ...item, fact: { ...item.fact, deviceSeq } };
        this.items = this.items.map((other) => (other.id === item.id ? numbered : other));
        this.seen([numbered]);
        this.changed();
      }
    } finally {
      this.storing.delete(item.id);
    }
  }

  private seen(items: readonly QueuedFact[]): void {
    this.next = Math.max(this.next, ...items.map(({ fact }) => fact.deviceSeq + 1));
  }

  /** Sends what waits, oldest first, until nothing is left or the link fails. */
  async flush(): Promise<void> {
    if (this.sending || this.mono() < this.restUntil) return;
    this.sending = true;
    try {
      for (;;) {
        const batch = this.ready();
        if (batch.length === 0 || !this.socket.connected) break;
        const answers = await this.socket.request("facts", batch, ANSWER_TIMEOUT_MS);
        if (!this.settle(batch, answers)) break;
      }
    } catch {
      // The link failed: everything unacknowledged is still here and goes out next time.
    } finally {
      this.sending = false;
    }
  }

  /** What can go out now: nothing overtakes a fact that is not stored yet. */
  private ready(): readonly QueuedFact[] {
    const notYet = this.items.findIndex(({ id }) => this.storing.has(id));
    return this.items.slice(0, notYet < 0 ? BATCH : Math.min(BATCH, notYet));
  }

  /** Takes the answers in; false when the rest has to wait. */
  private settle(batch: readonly QueuedFact[], answers: unknown): boolean {
    if (!Array.isArray(answers)) return false;
    for (const forget of this.unforgotten.splice(0)) this.forget(forget);
    for (const [index, item] of batch.entries()) {
      const answer: unknown = answers[index];
      if (!isAnswer(answer)) return false;
      if (!answer.ok) {
        const { refusal } = answer;
        if (PASSING.has(refusal.code)) {
          this.rest(refusal);
          return false;
        }
        this.rejected = [...this.rejected, { ...item, refusal }];
        this.forget(() => this.store.reject(item, refusal));
      } else {
        this.taken(item, answer.seq);
        this.forget(() => this.store.unqueue(item.id));
      }
      this.answered.add(item.id);
      this.items = this.items.filter((other) => other.id !== item.id);
      this.changed();
    }
    return true;
  }

  /** "too-many" says how long to wait; nothing is dropped meanwhile. */
  private rest({ data }: Refusal): void {
    const waitMs = data?.retryAfterMs;
    const mono = this.mono();
    if (typeof waitMs !== "number" || !(waitMs > 0) || !Number.isFinite(mono)) return;
    this.restUntil = mono + Math.min(waitMs, REST_MOST_MS);
  }

  private forget(task: () => Promise<void>): void {
    task().catch(() => {
      this.unforgotten.push(task);
    });
  }
}
