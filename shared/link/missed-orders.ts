/**
 * Orders are never delivered late (SPEC L3): a client that was away is told how many calls and
 * messages it missed, and shows none of them as new, nor after a reload. Messages to other rigs do
 * not count.
 */
import type { SiteEvent } from "../run/events.ts";
import type { SiteState } from "../run/state.ts";

/** What a client has to remember of orders. */
export interface SavedOrders {
  /** How many were missed and not yet acknowledged as missed. */
  missed: number;
  /** Ids of calls and messages that are not shown as new: they were missed, or read. */
  old: readonly string[];
}

export const NO_ORDERS: SavedOrders = { missed: 0, old: [] };
/** Older ones have long left the page, and the newest messages that a state holds are fewer. */
const MOST_OLD = 200;

export function withMissed(orders: SavedOrders, ids: readonly string[]): SavedOrders {
  return { ...withOld(orders, ids), missed: orders.missed + ids.length };
}

export function withOld(orders: SavedOrders, ids: readonly string[]): SavedOrders {
  return ids.length === 0 ? orders : { ...orders, old: [...orders.old, ...ids].slice(-MOST_OLD) };
}

/** Among events that a client lacks after a sequence number; `own` null: everything concerns it. */
export function missedAmong(
  events: readonly SiteEvent[],
  afterSeq: number,
  own: readonly string[] | null,
): string[] {
  return events.flatMap((event) => {
    if (event.seq <= afterSeq) return [];
    if (event.type === "called") return [event.payload.callId];
    if (event.type === "rollCalled" && isFor(event.payload.rigIds, own)) return [event.payload.rollId];
    if (event.type === "messageSent" && isFor(event.payload.rigIds, own)) return [event.payload.messageId];
    return [];
  });
}

/** What only the newer of two states knows. */
export function missedBetween(before: SiteState, after: SiteState, own: readonly string[] | null): string[] {
  const knownMessages = new Set(before.messages.map((message) => message.messageId));
  const newest = before.messages.at(-1)?.sentUtcMs ?? 0;
  const messages = after.messages.filter(
    ({ messageId, sentUtcMs, rigIds }) =>
      !knownMessages.has(messageId) && sentUtcMs >= newest && isFor(rigIds, own),
  );
  const knownCalls = new Set(callIdsOf(before));
  const { roll } = after;
  return [
    ...(roll && roll.rollId !== before.roll?.rollId && isFor(roll.rigIds, own) ? [roll.rollId] : []),
    ...messages.map(({ messageId }) => messageId),
    ...callIdsOf(after).filter((id) => !knownCalls.has(id)),
  ];
}

function callIdsOf(state: SiteState): string[] {
  return Object.values(state.runs).flatMap((run) => run.calls.map((call) => call.callId));
}

/** Whether a message to these rigs (null: all) concerns a client with these (null: all). */
function isFor(rigIds: readonly string[] | null, own: readonly string[] | null): boolean {
  return rigIds === null || own === null || rigIds.some((id) => own.includes(id));
}
