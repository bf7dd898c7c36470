/**
 * S10 for a site that goes on from a copy: what was said of a filter after the copy was made, to a hub
 * that is gone, nobody knows. So the record of each filter gets an "unknown", an instant after the last
 * that the copy knows: somebody has to say what it is, as of a rig that joins late. An "off" holds (S9).
 */
import { randomUUID } from "node:crypto";
import { REPORT_VERSION, type SiteEvent } from "../../shared/run/events.ts";
import { filterVerdict } from "../../shared/run/facts/filter-state.ts";
import { filterWordsIn } from "../../shared/run/facts/rig-record.ts";
import type { SiteState } from "../../shared/run/state.ts";
import { type UtcMs, utcMs } from "../../shared/time/instants.ts";
import type { AppendEntry } from "./event-log.ts";

/** No phone's name, so that no phone takes the word for one of its own. */
const DEVICE = "hub:copy";

/** What is to be appended to a copy whose last event was logged at `lastUtcMs`; null where no word on a filter stands. */
export function filtersAskedAnew(state: SiteState, lastUtcMs: UtcMs): AppendEntry | null {
  const commandId = randomUUID();
  const runId = state.realRunId;
  const all = Object.values(state.runs);
  const events: SiteEvent[] = [];
  for (const { id: rigId, filter } of state.plan.rigs) {
    const { word } = filterVerdict(filterWordsIn(all, rigId));
    if (filter === "none by design" || !word || word.value === "unknown") continue;
    const seq = state.seq + 1 + events.length;
    events.push({
      ...{ seq, runId, type: "rigReported", v: REPORT_VERSION, actor: "hub", commandId, boundMs: null },
      ...{ deviceId: DEVICE, deviceSeq: seq, loggedUtcMs: lastUtcMs },
      observedUtcMs: utcMs(Math.floor(Math.max(lastUtcMs, word.observedUtcMs)) + 1),
      payload: { rigId, filter: "unknown", flags: [] },
    });
  }
  const answer = { ok: true, seq: events.at(-1)?.seq };
  return events.length === 0 ? null : { sender: "hub", commandId, bodyHash: "", answer, events };
}
