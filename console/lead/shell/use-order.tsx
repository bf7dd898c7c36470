/**
 * Gives an order and keeps what came of it: a refusal stays on the screen until the next order,
 * since a lead must never believe that something was said which was not.
 */
import { createContext, type ReactNode, useCallback, useContext, useMemo, useState } from "react";
import type { Order } from "../../../shared/run/orders/commands.ts";
import type { Refusal } from "../../../shared/run/orders/refusal.ts";
import { useLead } from "./lead-context.ts";

export interface Orders {
  /** True when the hub took it. */
  give(order: Order): Promise<boolean>;
  /** The refusal of the last order, null when it was taken. */
  refusal: Refusal | null;
  refused: Order["type"] | null;
  /** The order that waits for its answer. */
  waiting: Order["type"] | null;
  dismiss(): void;
}

const OrdersContext = createContext<Orders | null>(null);

export function OrdersProvider(props: { children: ReactNode }) {
  const { session } = useLead();
  const [last, setLast] = useState<{ refusal: Refusal; type: Order["type"] } | null>(null);
  const [waiting, setWaiting] = useState<Order["type"] | null>(null);
  const give = useCallback(
    async (order: Order) => {
      setWaiting(order.type);
      const answer = await session.order(order);
      setWaiting(null);
      setLast(answer.ok ? null : { refusal: answer.refusal, type: order.type });
      return answer.ok;
    },
    [session],
  );
  const orders = useMemo<Orders>(
    () => ({
      give,
      refusal: last?.refusal ?? null,
      refused: last?.type ?? null,
      waiting,
      dismiss: () => setLast(null),
    }),
    [give, last, waiting],
  );
  return <OrdersContext value={orders}>{props.children}</OrdersContext>;
}

export function useOrders(): Orders {
  const orders = useContext(OrdersContext);
  if (!orders) throw new Error("useOrders is used outside the console");
  return orders;
}
