/**
 * Orders are never delivered late (SPEC L3): a client that was away is told how many calls and
 * messages it missed, and shows none of them as new, nor after a reload. Messages to other rigs do
 * not count, and what was missed of a practice counts no longer than it lasts.
 */
import type { SiteEvent } from "../run/events.ts";
import { practiceAt } from "../run/run-time.ts";
import type { SiteState } from "../run/state.ts";
import type { UtcMs } from "../time/instants.ts";

/** What a client has to remember of orders. */
export interface SavedOrders {
  /** The runs of those that were missed and not yet acknowledged as missed, one entry for each. */
  missedOf: readonly string[];
  /** Ids of calls and messages that are not shown as new: they were missed, or read. */
  old: readonly string[];
}

export const NO_ORDERS: SavedOrders = { missedOf: [], old: [] };
/** Older ones have long left the page, and the newest messages that a state holds are fewer. */
const MOST_OLD = 200;

/** An order that was missed, and the run that it was given in. */
export interface Missed {
  id: string;
  runId: string;
}

export function withMissed(orders: SavedOrders, missed: readonly Missed[]): SavedOrders {
  const ids = missed.map(({ id }) => id);
  const missedOf = [...orders.missedOf, ...missed.map(({ runId }) => runId)].slice(-MOST_OLD);
  return { ...withOld(orders, ids), missedOf };
}

/** How many still concern anybody: those of the real run, and of the practice that is on. */
export function missedNow(missedOf: readonly string[], state: SiteState, now: UtcMs): number {
  const on = practiceAt(state, now)?.runId;
  return missedOf.filter((runId) => runId === on || runId === state.realRunId).length;
}

export function withOld(orders: SavedOrders, ids: readonly string[]): SavedOrders {
  return ids.length === 0 ? orders : { ...orders, old: [...orders.old, ...ids].slice(-MOST_OLD) };
}

/** Among events that a client lacks after a sequence number; `own` null: everything concerns it. */
export function missedAmong(
  events: readonly SiteEvent[],
  afterSeq: number,
  own: readonly string[] | null,
): Missed[] {
  return events.flatMap((event) => {
    const { seq, type, payload, runId } = event;
    if (seq <= afterSeq) return [];
    if (type === "called") return [{ id: payload.callId, runId }];
    if (type === "rollCalled" && isFor(payload.rigIds, own)) return [{ id: payload.rollId, runId }];
    if (type === "messageSent" && isFor(payload.rigIds, own)) return [{ id: payload.messageId, runId }];
    return [];
  });
}

/** What only the newer of two states knows. */
export function missedBetween(before: SiteState, after: SiteState, own: readonly string[] | null): Missed[] {
  const knownMessages = new Set(before.messages.map((message) => message.messageId));
  const newest = before.messages.at(-1)?.sentUtcMs ?? 0;
  const messages = after.messages.filter(
    ({ messageId, sentUtcMs, rigIds }) =>
      !knownMessages.has(messageId) && sentUtcMs >= newest && isFor(rigIds, own),
  );
  const knownCalls = new Set(callsOf(before).map(({ id }) => id));
  const { roll } = after;
  return [
    ...(roll && roll.rollId !== before.roll?.rollId && isFor(roll.rigIds, own)
      ? [{ id: roll.rollId, runId: roll.runId }]
      : []),
    ...messages.map(({ messageId, runId }) => ({ id: messageId, runId })),
    ...callsOf(after).filter(({ id }) => !knownCalls.has(id)),
  ];
}

function callsOf(state: SiteState): Missed[] {
  return Object.values(state.runs).flatMap(({ runId, calls }) =>
    calls.map(({ callId }) => ({ id: callId, runId })),
  );
}

/** Whether a message to these rigs (null: all) concerns a client with these (null: all). */
function isFor(rigIds: readonly string[] | null, own: readonly string[] | null): boolean {
  return rigIds === null || own === null || rigIds.some((id) => own.includes(id));
}
