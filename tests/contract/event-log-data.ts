/** Invented events for the tests of event logs. */
import type { AppendEntry, LoggedEvent } from "../../hub/log/event-log.ts";
import { utcMs } from "../../shared/time/instants.ts";

/** An invented event; every field filled so that none can get lost unseen. */
export function eventNumber(seq: number, change: Partial<LoggedEvent> = {}): LoggedEvent {
  return {
    seq,
    runId: "real",
    type: "filterReported",
    v: 1,
    actor: "rig:west",
    commandId: `c${seq}`,
    observedUtcMs: utcMs(1_817_000_000_000.25 + seq),
    boundMs: 3.5,
    deviceId: "d1",
    deviceSeq: seq,
    loggedUtcMs: utcMs(1_817_000_000_100 + seq),
    payload: { filter: "off", note: "é ☉ \u0000 line\nbreak" },
    ...change,
  };
}

export function entryOf(commandId: string, events: LoggedEvent[], sender = "rig:west"): AppendEntry {
  return { sender, commandId, bodyHash: `hash of ${commandId}`, answer: { ok: true }, events };
}
