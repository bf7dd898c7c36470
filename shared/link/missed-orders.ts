/**
 * Orders are never delivered late (SPEC L3): a client that was away is told how many calls and
 * messages it missed, and shows none of them as new. Messages to other rigs do not count.
 */
import type { SiteEvent } from "../run/events.ts";
import type { SiteState } from "../run/state.ts";

/** Among events that a client lacks after a sequence number; `own` null: everything concerns it. */
export function missedAmong(
  events: readonly SiteEvent[],
  afterSeq: number,
  own: readonly string[] | null,
): number {
  return events.filter(
    (event) =>
      event.seq > afterSeq &&
      (event.type === "called" || (event.type === "messageSent" && isFor(event.payload.rigIds, own))),
  ).length;
}

/** What only the newer of two states knows. */
export function missedBetween(before: SiteState, after: SiteState, own: readonly string[] | null): number {
  const knownMessages = new Set(before.messages.map((message) => message.messageId));
  const newest = before.messages.at(-1)?.sentUtcMs ?? 0;
  const messages = after.messages.filter(
    ({ messageId, sentUtcMs, rigIds }) =>
      !knownMessages.has(messageId) && sentUtcMs >= newest && isFor(rigIds, own),
  );
  const knownCalls = new Set(callIdsOf(before));
  return messages.length + callIdsOf(after).filter((id) => !knownCalls.has(id)).length;
}

function callIdsOf(state: SiteState): string[] {
  return Object.values(state.runs).flatMap((run) => run.calls.map((call) => call.callId));
}

/** Whether a message to these rigs (null: all) concerns a client with these (null: all). */
function isFor(rigIds: readonly string[] | null, own: readonly string[] | null): boolean {
  return rigIds === null || own === null || rigIds.some((id) => own.includes(id));
}
