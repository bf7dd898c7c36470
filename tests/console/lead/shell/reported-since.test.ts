/** Between two ticks of its clock a console looks anew only at rigs that have reported. */
import { describe, expect, it } from "vitest";
import { reportedSince } from "../../../../console/lead/shell/reported-since.ts";
import type { Order } from "../../../../shared/run/orders/commands.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";

const AT = Date.UTC(2027, 6, 1, 9);

describe("what a console looks at again", () => {
  it("is the rig that reported, of the practice as of the real run", () => {
    const world = SiteWorld.planned();
    let before = world.state;
    world.report("west", { batteryPct: 40 }, { at: AT });
    expect([...(reportedSince(before, world.state) ?? [])]).toEqual(["west"]);
    world.practise(AT);
    before = world.state;
    world.report("eye", { filter: "on" }, { at: AT + 1000 });
    world.order({ type: "sendMessage", text: "Wind.", rigIds: null, urgent: false }, AT + 2000);
    expect([...(reportedSince(before, world.state) ?? [])]).toEqual(["eye"]);
  });

  it("is everything after a call, a shift, another sky, a cover, a practice, a change of the plan or of a clock", () => {
    const orders: Order[] = [
      { type: "call", call: "stay filtered" },
      { type: "shiftContact", contact: "c2", shiftS: 1 },
      { type: "chooseVariant", variant: "overcast", rigIds: ["west"] },
      { type: "cover" },
      { type: "startPractice", anchor: "C2", offsetS: -60, rate: 1 },
    ];
    for (const order of orders) {
      const world = SiteWorld.planned();
      const before = world.state;
      expect(world.order(order, AT), order.type).toHaveProperty("events");
      expect(reportedSince(before, world.state), order.type).toBeNull();
    }
    const world = SiteWorld.planned();
    const before = world.state;
    world.joined("west", AT);
    expect(reportedSince(before, world.state)).toBeNull();
  });
});
