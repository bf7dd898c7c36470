/**
 * What comes from the hub is looked at before it is used. The hub is trusted; but it may be of
 * another version, or another program that answers at its address, and a message of a form that
 * this page does not know must not bring the page down: it is passed over, and what is known stands.
 * The form in full is the hub's word (PROTOCOL, EVOLVE_VERSION): looked at is what everybody reads.
 */
import type { Answer, HubData, HubMessage } from "../protocol/messages.ts";
import type { Refusal } from "../run/orders/refusal.ts";

/** Whether something has the form of what a message carries. */
export type Look<Name extends HubMessage> = (data: unknown) => data is HubData<Name>;

export const isWelcome: Look<"welcome"> = (data): data is HubData<"welcome"> =>
  isRecord(data) &&
  typeof data.epoch === "string" &&
  Array.isArray(data.rigIds) &&
  isListOf(data.refused, isRecord);

export const isState: Look<"state"> = (data): data is HubData<"state"> =>
  isRecord(data) &&
  isRecord(data.state) &&
  typeof data.state.seq === "number" &&
  isRecord(data.state.plan) &&
  Array.isArray(data.state.plan.rigs) &&
  isRecord(data.state.runs) &&
  Array.isArray(data.state.messages);

export const isEvents: Look<"events"> = (data): data is HubData<"events"> =>
  isListOf(data, (one) => isRecord(one) && typeof one.seq === "number" && isRecord(one.payload));

export const isPresence: Look<"presence"> = (data): data is HubData<"presence"> =>
  isRecord(data) && isRecord(data.rigs);

export const isAlerts: Look<"alerts"> = (data): data is HubData<"alerts"> =>
  isListOf(data, (one) => isRecord(one) && typeof one.cause === "string");

export const isBoard: Look<"board"> = (data): data is HubData<"board"> =>
  isRecord(data) &&
  isRecord(data.contacts) &&
  isRecord(data.realContacts) &&
  isRecord(data.positionAngles) &&
  typeof data.zone === "string";

export function isRefusal(data: unknown): data is Refusal {
  return isRecord(data) && typeof data.code === "string";
}

export function isAnswer(data: unknown): data is Answer {
  return isRecord(data) && (data.ok === true || (data.ok === false && isRefusal(data.refusal)));
}

export function isRecord(data: unknown): data is Record<string, unknown> {
  return typeof data === "object" && data !== null;
}

function isListOf(data: unknown, isOne: (one: unknown) => boolean): boolean {
  return Array.isArray(data) && data.every(isOne);
}
