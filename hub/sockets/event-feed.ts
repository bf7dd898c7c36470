/**
 * Committed events on their way to sockets. What changes nothing that anybody else must act on at
 * once goes to phones of rigs together: sixty rigs that report once a second would else be 3,600
 * writes a second. What the other phones of a rig go by (filter, cues, calls for help) waits a
 * fraction of a second; what they merely show (card, battery, instruments), and what they do not show
 * at all (alerts noted, devices that joined), a second. Leads hear everything at once, since somebody
 * may have to go to that rig; and everything else goes to everybody at once, with what was waiting
 * before it, in order. So the answer to a report comes before its event, and clients lay the report
 * over what they know until then (SPEC L9). What is long goes in pieces (in-pieces.ts).
 */
import type { EventType, RigReported, SiteEvent } from "../../shared/run/events.ts";
import { InPieces } from "./in-pieces.ts";

/** How long a report that other phones go by may wait for others, ms. */
const TOGETHER_MS = 200;
/** How long what they at most show may, ms. */
const SHOWN_MS = 1000;

const UNSHOWN: ReadonlySet<EventType> = new Set<EventType>([
  "alertRaised",
  "alertCleared",
  "deviceJoined",
  "clockNoted",
  "imagesNoted",
]);

/** What a report may say that no cue and no instruction hangs on. */
const ONLY_SHOWN: ReadonlySet<string> = new Set<keyof RigReported>([
  "rigId",
  "flags",
  "cardFreeGB",
  "batteryPct",
  "tracking",
  "focused",
  "recording",
  "armed",
]);

/** How long an event may wait on its way to phones of rigs, ms. */
function mayWaitMs(event: SiteEvent): number {
  if (UNSHOWN.has(event.type)) return SHOWN_MS;
  if (event.type !== "rigReported") return 0;
  const { payload } = event;
  // Of an instrument's words a cue hangs on the filter's alone (SPEC R19).
  const shown = payload.instrument
    ? payload.filter === undefined
    : Object.keys(payload).every((field) => ONLY_SHOWN.has(field));
  return shown ? SHOWN_MS : TOGETHER_MS;
}

export interface FeedPorts {
  toLeads: (events: readonly SiteEvent[]) => void;
  toRigs: (events: readonly SiteEvent[]) => void;
  /** All that had to wait for its turn to be written has gone. */
  caughtUp: () => void;
}

export class EventFeed {
  private forLeads: SiteEvent[] = [];
  private forRigs: SiteEvent[] = [];
  private soon: NodeJS.Timeout | undefined;
  /** When `soon` comes; compares with performance.now(). */
  private dueMono = Number.POSITIVE_INFINITY;

  private readonly leads: InPieces;
  private readonly rigs: InPieces;

  constructor(ports: FeedPorts) {
    const caughtUp = (): void => {
      if (!this.behind) ports.caughtUp();
    };
    this.leads = new InPieces(ports.toLeads, caughtUp);
    this.rigs = new InPieces(ports.toRigs, caughtUp);
  }

  /** Whether something that is to go at once waits for its turn. */
  get behind(): boolean {
    return this.leads.behind || this.rigs.behind;
  }

  add(events: readonly SiteEvent[]): void {
    const first = this.forLeads.length === 0;
    this.forLeads.push(...events);
    this.forRigs.push(...events);
    const waitMs = Math.min(...events.map(mayWaitMs));
    if (waitMs === 0) {
      this.flush();
      return;
    }
    // Those of one commit go together: they are published in one turn.
    if (first) process.nextTick(() => this.flushLeads());
    const dueMono = performance.now() + waitMs;
    if (dueMono >= this.dueMono) return;
    clearTimeout(this.soon);
    this.dueMono = dueMono;
    this.soon = setTimeout(() => this.flush(), waitMs);
  }

  private flushLeads(): void {
    const events = this.forLeads;
    if (events.length === 0) return;
    this.forLeads = [];
    this.leads.add(events);
  }

  close(): void {
    clearTimeout(this.soon);
    this.leads.close();
    this.rigs.close();
  }

  private flush(): void {
    clearTimeout(this.soon);
    this.dueMono = Number.POSITIVE_INFINITY;
    this.flushLeads();
    const events = this.forRigs;
    if (events.length === 0) return;
    this.forRigs = [];
    this.rigs.add(events);
  }
}
