/**
 * What everybody is sent when something happens: events after their commit, the cover before it
 * (S7), who is linked, which alerts stand, what boards show.
 */
import type { SiteEvent } from "../../shared/run/events.ts";
import type { BoardFeed } from "../feeds/board-feed.ts";
import type { AlertDesk } from "../site/alert-desk.ts";
import type { PresenceBook } from "../site/presence.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import type { HubServer } from "./client.ts";
import { EventFeed } from "./event-feed.ts";
import { lightened } from "./lightened.ts";

const PRESENCE_MS = 1000;

interface BroadcastPorts {
  io: HubServer;
  keeper: SiteKeeper;
  boards: BoardFeed;
  presence: PresenceBook;
  alerts: AlertDesk;
}

export class Broadcast {
  private presenceDue: NodeJS.Timeout | null = null;
  private readonly feed: EventFeed;
  /** A cover has gone past events that still wait to be written. */
  private coverPassed = false;

  constructor(private readonly ports: BroadcastPorts) {
    const { io, keeper, alerts, boards } = ports;
    this.feed = new EventFeed({
      toLeads: (events) => io.to("leads").emit("events", events),
      toRigs: (events) => io.to("rigs").emit("events", events),
      caughtUp: () => this.coverAgain(),
    });
    keeper.on("cover", (by) => {
      io.to("site").to("boards").to("former").emit("cover", { by });
      this.coverPassed ||= this.feed.behind;
    });
    keeper.on("events", (events) => this.tell(events));
    alerts.onChange((standing) => io.to("leads").emit("alerts", standing));
    boards.subscribe(({ snapshot }) => {
      io.to("boards").emit("board", snapshot);
    });
  }

  /** The hub's clock was moved at once: leads and rigs ask for the time anew. Boards show seconds. */
  announceClock(): void {
    this.ports.io.to("site").emit("clock", {});
  }

  /** Many devices come, go and pulse at one time: leads are told of all of them together. */
  presenceChanged(): void {
    if (this.presenceDue) return;
    this.presenceDue = setTimeout(() => {
      this.presenceDue = null;
      this.ports.io.to("leads").emit("presence", this.ports.presence.get());
    }, PRESENCE_MS);
  }

  close(): void {
    this.feed.close();
    if (this.presenceDue) clearTimeout(this.presenceDue);
  }

  /** A release that it went past, and that was read after it, must leave nobody uncovered (S7). */
  private coverAgain(): void {
    const { io, keeper } = this.ports;
    const { cover } = keeper.state;
    if (this.coverPassed && cover) io.to("site").emit("cover", { by: cover.by });
    this.coverPassed = false;
  }

  private tell(events: readonly SiteEvent[]): void {
    const { io } = this.ports;
    this.feed.add(events.map(lightened));
    for (const event of events)
      if (event.type === "coverReleased") io.to("former").emit("coverReleased", event.payload);
  }
}
