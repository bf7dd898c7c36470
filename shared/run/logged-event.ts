/**
 * The envelope of everything that is kept: one row of the event log. `observedUtcMs` is when it
 * happened by the observer's clock (good to `boundMs`), `loggedUtcMs` when the hub wrote it.
 * Both are real UTC, in practice runs too; run time is derived (run-time.ts).
 */
import type { UtcMs } from "../time/instants.ts";

export interface EventDraft<Type extends string = string, Payload = unknown> {
  runId: string;
  type: Type;
  /** Version of the payload's shape, raised when it changes (upcasts.ts reads the old ones). */
  v: number;
  /** Who: "lead:Ada", "rig:<rigId>", "device:<deviceId>", "hub". Never a secret. */
  actor: string;
  commandId: string;
  observedUtcMs: UtcMs;
  boundMs: number | null;
  /** For facts: the device that observed it and its own running number. */
  deviceId: string | null;
  deviceSeq: number | null;
  payload: Payload;
}

export interface LoggedEvent<Type extends string = string, Payload = unknown>
  extends EventDraft<Type, Payload> {
  /** 1, 2, 3 … without gaps, over all runs. */
  seq: number;
  loggedUtcMs: UtcMs;
}
