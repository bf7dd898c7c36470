/** Reads what was decided and what runs say in pieces, so that a night of a million events holds nobody up. */
import { setImmediate as otherWork } from "node:timers/promises";
import type { SiteEvent } from "../../shared/run/events.ts";
import { upcast } from "../../shared/run/upcasts.ts";
import type { EventLog, LogFilter } from "./event-log.ts";

/** Events of the log that are looked through at once: some ms. */
const LOOKED_AT_ONCE = 3000;
/** Events folded before the hub looks after everybody else: some ms on a laptop. */
const EVENTS_AT_ONCE = 500;
/** After so many reports it is looked how long it took; after anything else each time. */
const ASKED_EVERY = 20;
/** Or for how long, ms: a report takes microseconds, a plan of sixty rigs that an earlier program saved 13 ms. */
const PIECE_MS = 3;

export async function readInPieces(
  log: EventLog,
  which: Pick<LogFilter, "runId" | "practices" | "saying">,
  take: (event: SiteEvent) => void,
): Promise<void> {
  let taken = 0;
  let since = performance.now();
  const last = log.lastSeq();
  for (let afterSeq = 0; afterSeq < last; afterSeq += LOOKED_AT_ONCE) {
    const piece = { afterSeq, untilSeq: afterSeq + LOOKED_AT_ONCE };
    for (const event of log.read({ ...which, withDecisions: true, ...piece })) {
      take(upcast(event) as SiteEvent);
      taken++;
      // Asking for the time costs as much as half of a report.
      const asks = event.type !== "rigReported" || taken % ASKED_EVERY === 0;
      if (taken % EVENTS_AT_ONCE !== 0 && !(asks && performance.now() - since >= PIECE_MS)) continue;
      await otherWork();
      since = performance.now();
    }
    await otherWork();
    since = performance.now();
  }
}
