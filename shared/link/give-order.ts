/** An order of a lead (SPEC L3): answered by the hub, or failed when there is no link. Never sent late. */
import type { Answer } from "../protocol/messages.ts";
import type { Order } from "../run/orders/commands.ts";
import { isAnswer } from "./from-hub.ts";
import type { SessionPorts } from "./session-types.ts";

const TIMEOUT_MS = 8000;
const UNREACHABLE: Answer = {
  ok: false,
  refusal: { code: "internal", message: "no link to the hub: the order was not given" },
};

export async function giveOrder(
  { socket, newId }: Pick<SessionPorts, "socket" | "newId">,
  order: Order,
): Promise<Answer> {
  if (!socket.connected) return UNREACHABLE;
  try {
    const answer = await socket.request("order", { id: newId(), order }, TIMEOUT_MS);
    return isAnswer(answer) ? answer : UNREACHABLE;
  } catch {
    return UNREACHABLE;
  }
}
