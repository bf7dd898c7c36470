/** A console is drawn ten times a second at most, and at once for what a lead must see. */
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { calmly } from "../../../../console/lead/shell/use-calm-view.ts";
import type { SessionView } from "../../../../shared/link/session-types.ts";
import type { Order } from "../../../../shared/run/orders/commands.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";

const T0 = Date.UTC(2027, 6, 1, 9);

function watched() {
  const world = SiteWorld.planned();
  let view = { state: world.state, cover: false, linkState: "linked" } as unknown as SessionView;
  let tell = () => {};
  const session = {
    view: () => view,
    subscribe: (listener: () => void) => {
      tell = listener;
      return () => undefined;
    },
  };
  const drawn: number[] = [];
  const end = calmly(
    session,
    () => drawn.push(Date.now()),
    () => Date.now(),
  );
  const heard = (more: Partial<SessionView> = {}) => {
    view = { ...view, state: world.state, ...more };
    tell();
  };
  return { world, drawn, end, heard };
}

beforeEach(() => void vi.useFakeTimers({ now: T0 }));
afterEach(() => void vi.useRealTimers());

describe("a console that hears sixty reports a second", () => {
  it("is drawn ten times in it, and once more with the last of them", () => {
    const { world, drawn, heard } = watched();
    for (let n = 0; n < 60; n++) {
      world.report("west", { batteryPct: n }, { at: Date.now() });
      heard();
      vi.advanceTimersByTime(1000 / 60);
    }
    expect(drawn.length).toBeGreaterThanOrEqual(9);
    expect(drawn.length).toBeLessThanOrEqual(11);
    vi.advanceTimersByTime(1000);
    expect((drawn.at(-1) as number) - T0).toBeGreaterThanOrEqual(983);
    const after = drawn.length;
    vi.advanceTimersByTime(5000);
    expect(drawn).toHaveLength(after);
  });

  const orders: [string, Order][] = [
    ["a call", { type: "call", call: "stay filtered" }],
    ["another sky", { type: "chooseVariant", variant: "thin", rigIds: null }],
    ["a cover", { type: "cover" }],
    ["a practice", { type: "startPractice", anchor: "C2", offsetS: -60, rate: 1 }],
  ];
  it.each(orders)("shows %s at once", (_, order) => {
    const { world, drawn, heard } = watched();
    world.report("west", { batteryPct: 50 }, { at: Date.now() });
    heard();
    vi.advanceTimersByTime(5);
    world.report("west", { batteryPct: 49 }, { at: Date.now() });
    heard();
    expect(drawn).toEqual([T0]);
    vi.advanceTimersByTime(5);
    expect(world.order(order, Date.now())).toHaveProperty("events");
    heard();
    expect(drawn).toEqual([T0, T0 + 10]);
    vi.advanceTimersByTime(1000);
    expect(drawn).toHaveLength(2);
  });

  it("shows a lost link, and a cover that is not logged, at once; and nothing after it has ended", () => {
    const { drawn, heard, end } = watched();
    heard();
    heard({ linkState: "alone" });
    heard({ cover: true });
    expect(drawn).toEqual([T0, T0, T0]);
    heard();
    end();
    vi.advanceTimersByTime(1000);
    expect(drawn).toHaveLength(3);
  });
});
