/**
 * Events on their way to a room of sockets, in pieces between which the hub does other work: what a
 * save of a hundred rigs says has a megabyte and more, and sixty phones are each written all of it.
 * The order stays; what comes meanwhile waits behind it.
 */
import type { SiteEvent } from "../../shared/run/events.ts";
import { payloadText } from "../log/payload-text.ts";

/** Events go together until they are at least so long as JSON: sixty writes of twice that take some 3 ms. */
const PIECE_CHARS = 16_384;

export class InPieces {
  private waiting: SiteEvent[] = [];
  private next: NodeJS.Immediate | undefined;

  constructor(
    private readonly send: (events: readonly SiteEvent[]) => void,
    /** The last of what had to wait has gone. */
    private readonly caughtUp: () => void,
  ) {}

  /** Whether something waits for its turn. */
  get behind(): boolean {
    return this.waiting.length > 0;
  }

  /** The first piece goes at once, unless others wait before it. */
  add(events: readonly SiteEvent[]): void {
    const first = !this.behind;
    this.waiting.push(...events);
    if (first) this.sendPiece();
  }

  close(): void {
    clearImmediate(this.next);
    this.waiting = [];
  }

  private sendPiece(): void {
    const events = this.waiting;
    let length = 0;
    for (let chars = 0; length < events.length && chars < PIECE_CHARS; length++)
      if (events.length > 1) chars += payloadText(events[length]?.payload).length;
    this.waiting = events.slice(length);
    if (this.behind) this.next = setImmediate(() => this.sendLater());
    this.send(this.behind ? events.slice(0, length) : events);
  }

  private sendLater(): void {
    this.sendPiece();
    if (!this.behind) this.caughtUp();
  }
}
