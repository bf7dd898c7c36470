/**
 * How many alerts there were to read in the last ten minutes, as alarm systems are judged (shared/review/alert-rate.ts
 * has the same of a whole run, lines-read.ts what is read as one): counted while it goes on, and over a restart from the end of the log.
 */
import { LinesRead } from "../../shared/review/lines-read.ts";
import type { AlertChange } from "../../shared/run/events.ts";
import type { EventLog } from "../log/event-log.ts";
import type { SiteKeeper } from "./site-keeper.ts";

const TEN_MINUTES_MS = 600_000;
/** So much of the log's end is looked through at a start: reports of sixty rigs in ten minutes and more. */
const LOOKED_BACK = 40_000;

export class LatelyRaised {
  private at: number[] = [];
  private readonly lines = new LinesRead();

  constructor(
    log: EventLog,
    keeper: SiteKeeper,
    private readonly now: () => number,
  ) {
    const afterSeq = Math.max(0, log.lastSeq() - LOOKED_BACK);
    // Of no run's reports: what was decided and noted is left.
    this.note(log.read({ runId: "-", withDecisions: true, afterSeq }));
    keeper.on("events", (events) => this.note(events));
  }

  count(): number {
    const from = this.now() - TEN_MINUTES_MS;
    this.at = this.at.filter((at) => at > from);
    return this.at.length;
  }

  private note(events: Iterable<{ type: string; loggedUtcMs: number; payload: unknown }>): void {
    for (const { type, loggedUtcMs, payload } of events)
      if (type === "alertRaised" && this.lines.isNew(payload as AlertChange, loggedUtcMs))
        this.at.push(loggedUtcMs);
  }
}
