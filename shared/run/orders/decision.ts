/** What orders are decided with, and what comes of them. */
import type { Circumstances } from "../../eclipse/circumstances-types.ts";
import type { Site } from "../../plan/model/plan.ts";
import type { PlanNote } from "../../plan/plan-note.ts";
import type { UtcMs } from "../../time/instants.ts";
import type { ClockHealth } from "../doubt.ts";
import { EVENT_VERSIONS, type EventType, type Payloads } from "../events.ts";
import type { EventDraft } from "../logged-event.ts";
import { type Refusal, refusal } from "./refusal.ts";

export interface Context {
  now: UtcMs;
  /** Who orders, e.g. "lead:Ada". */
  actor: string;
  commandId: string;
  /** A fresh id for a run. */
  newId: () => string;
  /** What a site gets from an eclipse; undefined when the eclipse is not in the table. */
  solve: (eclipse: string, site: Site, limb: boolean) => Circumstances | undefined;
  /** The IANA zone of a place. */
  zoneAt: (latDeg: number, lonDeg: number) => string;
  clock: ClockHealth;
}

export type Decision = { events: EventDraft[]; notes?: PlanNote[] } | { refusal: Refusal };

export function no(code: Refusal["code"], message: string, more: Partial<Refusal> = {}): Decision {
  return { refusal: refusal(code, message, more) };
}

export function yes<T extends EventType>(
  context: Context,
  runId: string,
  type: T,
  payload: Payloads[T],
): Decision {
  return { events: [draftOf(context, runId, type, payload)] };
}

export function draftOf<T extends EventType>(
  context: Pick<Context, "now" | "actor" | "commandId">,
  runId: string,
  type: T,
  payload: Payloads[T],
): EventDraft<T, Payloads[T]> {
  return {
    runId,
    type,
    v: EVENT_VERSIONS[type],
    actor: context.actor,
    commandId: context.commandId,
    observedUtcMs: context.now,
    boundMs: null,
    deviceId: null,
    deviceSeq: null,
    payload,
  };
}
