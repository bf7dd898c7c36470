/** What a lead orders over a socket: parsed, given to the keeper, answered. */
import { OrderMessageSchema } from "../../shared/protocol/messages.ts";
import { parse } from "../../shared/run/orders/commands.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import { type HubSocket, hearQuestion, type LeadClient } from "./client.ts";

interface OrderPorts {
  keeper: SiteKeeper;
  onBug: (error: unknown) => void;
}

export function takeOrders(socket: HubSocket, { sender, actor }: LeadClient, ports: OrderPorts): void {
  hearQuestion(socket, "order", ports.onBug, (message, answer) => {
    const parsed = parse(OrderMessageSchema, message);
    if (!parsed.ok) return answer({ ok: false, refusal: parsed.refusal });
    const { id, order } = parsed.value;
    void ports.keeper.order(sender, actor, id, order).then(answer);
  });
}
