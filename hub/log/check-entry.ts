/** What every log asks of an entry before it writes it, whatever the store would put up with. */
import { type AppendEntry, type CommandRecord, LogError, type LoggedEvent } from "./event-log.ts";

const TEXTS = ["runId", "type", "actor", "commandId"] as const;
const NUMBERS = ["v", "observedUtcMs", "loggedUtcMs"] as const;

/** Throws LogError "bad-entry" when a field that an event cannot do without is missing or of another kind. */
export function checkEvent(event: LoggedEvent): void {
  const bad =
    TEXTS.find((name) => typeof event[name] !== "string") ??
    NUMBERS.find((name) => !Number.isFinite(event[name]));
  if (bad) throw new LogError("bad-entry", `event ${event.seq}: ${bad} is ${String(event[bad])}`);
}

/** Throws unless this event's number follows the last one. */
export function checkNextSeq(seq: number, lastSeq: number): void {
  if (seq !== lastSeq + 1) {
    throw new LogError("out-of-order", `event ${seq} cannot follow event ${lastSeq}`);
  }
}

export function duplicateCommand(entry: CommandRecord): LogError {
  return new LogError("duplicate", `command ${entry.commandId} of ${entry.sender} is in the log already`);
}

/** The error of one entry, as its caller is told. */
export function entryError(entry: AppendEntry, error: unknown): LogError {
  if (error instanceof LogError) return error;
  return new LogError("bad-entry", `command ${entry.commandId} of ${entry.sender} cannot be written`, {
    cause: error,
  });
}
