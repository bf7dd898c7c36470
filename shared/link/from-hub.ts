/**
 * What comes from the hub is looked at before it is used. The hub is trusted; but it may be of
 * another version, or another program that answers at its address, and a message of a form that
 * this page does not know must not bring the page down: it is passed over, and what is known stands.
 */
import type { Answer, HubData, HubMessage } from "../protocol/messages.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import type { SocketPort } from "./session-types.ts";

type Looks = { readonly [Name in HubMessage]: (data: unknown) => data is HubData<Name> };

const LOOKS: Looks = {
  welcome: (data): data is HubData<"welcome"> =>
    isRecord(data) &&
    typeof data.epoch === "string" &&
    Array.isArray(data.rigIds) &&
    isListOfRecords(data.refused),
  state: (data): data is HubData<"state"> => isRecord(data) && isState(data.state),
  events: (data): data is HubData<"events"> => isListOfRecords(data) && data.every(isEvent),
  presence: (data): data is HubData<"presence"> => isRecord(data) && isRecord(data.rigs),
  alerts: (data): data is HubData<"alerts"> =>
    isListOfRecords(data) && data.every(({ cause }) => typeof cause === "string"),
  // Of these three the name says all: they are obeyed whatever comes with them.
  cover: (data): data is HubData<"cover"> => true,
  coverReleased: (data): data is HubData<"coverReleased"> => true,
  clock: (data): data is HubData<"clock"> => true,
  board: (data): data is HubData<"board"> =>
    isRecord(data) && isRecord(data.contacts) && isRecord(data.realContacts) && isRecord(data.positionAngles),
  refused: isRefusal,
};

/** Listens for one kind of message. `heard` is called for each, `take` for those that can be used. */
export function hearFromHub<Name extends HubMessage>(
  socket: SocketPort,
  name: Name,
  heard: () => void,
  take: (data: HubData<Name>) => void,
): void {
  const isKnown: Looks[Name] = LOOKS[name];
  socket.on(name, (data) => {
    heard();
    if (isKnown(data)) take(data);
  });
}

export function isRefusal(data: unknown): data is Refusal {
  return isRecord(data) && typeof data.code === "string";
}

export function isAnswer(data: unknown): data is Answer {
  return isRecord(data) && (data.ok === true || (data.ok === false && isRefusal(data.refusal)));
}

export function isRecord(data: unknown): data is Record<string, unknown> {
  return typeof data === "object" && data !== null;
}

function isListOfRecords(data: unknown): data is Record<string, unknown>[] {
  return Array.isArray(data) && data.every(isRecord);
}

function isEvent({ seq, type, payload }: Record<string, unknown>): boolean {
  return typeof seq === "number" && typeof type === "string" && isRecord(payload);
}

/** It has what everybody reads of it; its form in full is the hub's word (EVOLVE_VERSION). */
function isState(state: unknown): boolean {
  return (
    isRecord(state) &&
    typeof state.seq === "number" &&
    typeof state.realRunId === "string" &&
    isRecord(state.plan) &&
    Array.isArray(state.plan.rigs) &&
    isRecord(state.runs) &&
    Array.isArray(state.messages)
  );
}
