/**
 * The board's snapshot on its way to many readers. It is computed once for every change, and each
 * way out is given the newest one: the sockets of boards (hub/sockets), and whoever asks over HTTP
 * (`newest`), which is cacheable by its tag. A reader that takes long (a broker elsewhere) is given
 * none meanwhile and then only the newest: old news of an eclipse are worth nothing.
 */
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import type { EventType, SiteEvent } from "../../shared/run/events.ts";
import { tagOf } from "../entity-tag.ts";

/** The snapshot as it goes out: the same until something in it changes. */
export interface PublishedBoard {
  snapshot: BoardSnapshot;
  /** The snapshot as JSON. */
  text: string;
  /** Of the text, as an entity tag (RFC 9110, 8.8.3). */
  etag: string;
}

/** Resolves, or returns, when it is done with a snapshot. Where it fails it is given the newest again. */
export type BoardReader = (board: PublishedBoard) => void | Promise<void>;

interface Subscription {
  reader: BoardReader;
  /** The last it has taken. */
  taken: PublishedBoard | undefined;
  busy: boolean;
}

/** How often is looked though nothing was logged, ms: doubt grows, a practice ends. */
const LOOK_MS = 5000;
/** Who asks gets nothing older than a look of so long ago, ms. */
const FRESH_MS = 1000;
/** What changes nothing on a board. A report does only where somebody saw totality. */
const UNSEEN: ReadonlySet<EventType> = new Set<EventType>([
  "alertRaised",
  "alertCleared",
  "deviceJoined",
  "clockNoted",
]);

export interface BoardFeedPorts {
  /** What the public may know now. */
  compute: () => BoardSnapshot;
  /** A bug in computing it, or a reader that failed: told; the next look comes all the same. */
  onBug: (error: unknown) => void;
}

export class BoardFeed {
  private current: PublishedBoard | undefined;
  private lookedAt = Number.NEGATIVE_INFINITY;
  private readonly subscriptions = new Set<Subscription>();
  private readonly timer: NodeJS.Timeout;

  constructor(private readonly ports: BoardFeedPorts) {
    this.timer = setInterval(() => this.look(), LOOK_MS);
  }

  /** For who asks. Throws where it cannot be computed. */
  newest(): PublishedBoard {
    if (!this.current || performance.now() - this.lookedAt > FRESH_MS) return this.compute();
    return this.current;
  }

  /** Gives the newest at once, then whatever is new, one at a time; the answer ends that. */
  subscribe(reader: BoardReader): () => void {
    const subscription: Subscription = { reader, taken: undefined, busy: false };
    this.subscriptions.add(subscription);
    this.look();
    return () => this.subscriptions.delete(subscription);
  }

  /** Committed events: looks anew where they concern boards. */
  note(events: readonly SiteEvent[]): void {
    if (concernsBoards(events)) this.look();
  }

  /** Looks anew, and gives every reader what it has not had. */
  look(): void {
    try {
      this.compute();
    } catch (error) {
      this.ports.onBug(error);
    }
    for (const subscription of this.subscriptions) void this.give(subscription);
  }

  close(): void {
    clearInterval(this.timer);
    this.subscriptions.clear();
  }

  private compute(): PublishedBoard {
    const next = published(this.ports.compute());
    this.lookedAt = performance.now();
    if (this.current?.text !== next.text) this.current = next;
    return this.current;
  }

  /** Until the first pause of a reader this is done within the same turn. */
  private async give(subscription: Subscription): Promise<void> {
    if (subscription.busy) return;
    subscription.busy = true;
    try {
      for (;;) {
        const board = this.current;
        if (!board || board === subscription.taken || !this.subscriptions.has(subscription)) return;
        const done = subscription.reader(board);
        if (done) await done;
        subscription.taken = board;
      }
    } catch (error) {
      this.ports.onBug(error);
    } finally {
      subscription.busy = false;
    }
  }
}

/** Whether a board may show something else after these: reports of what a rig saw, calls, plans. */
export function concernsBoards(events: readonly SiteEvent[]): boolean {
  return events.some((event) =>
    event.type === "rigReported" ? event.payload.sawTotality !== undefined : !UNSEEN.has(event.type),
  );
}

function published(snapshot: BoardSnapshot): PublishedBoard {
  const text = JSON.stringify(snapshot);
  return { snapshot, text, etag: tagOf(text) };
}
