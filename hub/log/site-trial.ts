/**
 * The trial of a site that came from elsewhere: every event is read, checked in form, brought to
 * today's version and folded, and what comes of it is looked at as the hub would look at it. What
 * passes, a hub can start with. Throws LogError with a sentence that names the event.
 *
 * Takes as long as the log is long: not for the hub's own process while it runs (file-work.ts).
 */
import { alertsAt } from "../../shared/run/alerts/alerts.ts";
import { GOOD_CLOCK } from "../../shared/run/doubt.ts";
import { envelopeTrouble, payloadTrouble } from "../../shared/run/event-schemas.ts";
import { evolve } from "../../shared/run/evolve.ts";
import type { LoggedEvent } from "../../shared/run/logged-event.ts";
import { EMPTY_STATE, type SiteState } from "../../shared/run/state.ts";
import { UnknownEventError, upcast } from "../../shared/run/upcasts.ts";
import { NOBODY } from "../../shared/run/views/presence.ts";
import { utcMs } from "../../shared/time/instants.ts";
import { boardSnapshot } from "../feeds/board-snapshot.ts";
import { LogError } from "./event-log.ts";
import { damaged } from "./site-check.ts";

/** A site of a hundred rigs after days of practice has about 2 MB; every phone is sent all of it. */
const MOST_STATE_BYTES = 24 * 1024 * 1024;

/** The state that the events of this file make. */
export function tryOut(file: string, events: Iterable<LoggedEvent>): SiteState {
  let state = EMPTY_STATE;
  try {
    for (const row of events) state = folded(file, state, row);
  } catch (error) {
    if (error instanceof LogError) throw error;
    throw new LogError("corrupt", `${file} is damaged: its events cannot be read.`, { cause: error });
  }
  let size: number;
  try {
    const now = utcMs(Date.now());
    for (const at of [now, state.practice?.startedUtcMs ?? now]) {
      alertsAt(state, NOBODY, GOOD_CLOCK, at);
      boardSnapshot(state, at, GOOD_CLOCK);
    }
    size = JSON.stringify(state).length;
  } catch (cause) {
    throw new LogError("corrupt", `${file} is damaged: nothing can be shown of the state that it makes.`, {
      cause,
    });
  }
  if (size > MOST_STATE_BYTES) throw damaged(file, "its state is far larger than any site's");
  return state;
}

function folded(file: string, state: SiteState, row: LoggedEvent): SiteState {
  const trouble = envelopeTrouble(row);
  if (trouble) throw damaged(file, `event ${row.seq}: ${trouble}`);
  try {
    const event = upcast(row);
    const wrong = payloadTrouble(event.type, event.payload);
    if (wrong) throw damaged(file, `event ${row.seq} (${row.type}): ${wrong}`);
    return evolve(state, event);
  } catch (error) {
    throw replayError(file, row, error);
  }
}

function replayError(file: string, row: LoggedEvent, error: unknown): LogError {
  if (error instanceof LogError) return error;
  if (error instanceof UnknownEventError) {
    return new LogError("newer", `${file} cannot be read by this Noonfall: ${error.message}.`, {
      cause: error,
    });
  }
  return new LogError("corrupt", `${file} is damaged: event ${row.seq} (${row.type}) does not replay.`, {
    cause: error,
  });
}
