/**
 * Committed events on their way to sockets. What changes nothing that anybody else must act on at
 * once (reports, alerts noted, devices that joined) goes to phones of rigs together, a few times a
 * second: sixty rigs that report once a second would else be 3,600 writes a second. Leads hear it
 * at once, since somebody may have to go to that rig; and everything else goes to everybody at once,
 * with what was waiting before it, in order. So the answer to a report comes before its event, and
 * clients lay the report over what they know until then (SPEC L9).
 */
import type { EventType, SiteEvent } from "../../shared/run/events.ts";

/** How long a report may wait for others on its way to other rigs' phones, ms. */
const TOGETHER_MS = 200;

const QUIET: ReadonlySet<EventType> = new Set<EventType>([
  "rigReported",
  "alertRaised",
  "alertCleared",
  "deviceJoined",
  "clockNoted",
]);

export interface FeedPorts {
  toLeads: (events: readonly SiteEvent[]) => void;
  toRigs: (events: readonly SiteEvent[]) => void;
}

export class EventFeed {
  private forLeads: SiteEvent[] = [];
  private forRigs: SiteEvent[] = [];
  private soon: NodeJS.Timeout | undefined;

  constructor(private readonly ports: FeedPorts) {}

  add(events: readonly SiteEvent[]): void {
    const first = this.forLeads.length === 0;
    this.forLeads.push(...events);
    this.forRigs.push(...events);
    if (!events.every(({ type }) => QUIET.has(type))) this.flush();
    else {
      // Those of one commit go together: they are published in one turn.
      if (first) process.nextTick(() => this.flushLeads());
      this.soon ??= setTimeout(() => this.flush(), TOGETHER_MS);
    }
  }

  private flushLeads(): void {
    const events = this.forLeads;
    if (events.length === 0) return;
    this.forLeads = [];
    this.ports.toLeads(events);
  }

  close(): void {
    clearTimeout(this.soon);
  }

  private flush(): void {
    clearTimeout(this.soon);
    this.soon = undefined;
    this.flushLeads();
    const events = this.forRigs;
    if (events.length === 0) return;
    this.forRigs = [];
    this.ports.toRigs(events);
  }
}
