/** Whatever the hub itself logs passes the check that events from elsewhere are put to. */
import { describe, expect, it } from "vitest";
import { RIG_KINDS } from "../../../shared/plan/model/vocabulary.ts";
import { envelopeTrouble, PAYLOAD_SCHEMAS, payloadTrouble } from "../../../shared/run/event-schemas.ts";
import { EVENT_VERSIONS, LATE_FLAGS, type SiteEvent } from "../../../shared/run/events.ts";
import type { Order } from "../../../shared/run/orders/commands.ts";
import { NORTH_SHORE, SiteWorld } from "./site-world.ts";

const NOW = Date.UTC(2027, 6, 20);

function troubles(events: readonly SiteEvent[]): string[] {
  return events.flatMap((event) => {
    const written = JSON.parse(JSON.stringify(event)) as SiteEvent;
    const trouble = envelopeTrouble(written) ?? payloadTrouble(written.type, written.payload);
    return trouble ? [`${event.type}: ${trouble}`] : [];
  });
}

describe("an event that comes from elsewhere", () => {
  it("has a schema for every type there is", () => {
    expect(Object.keys(PAYLOAD_SCHEMAS).sort()).toEqual(Object.keys(EVENT_VERSIONS).sort());
  });

  it("passes when a hub made it: every order, every kind of rig, at a total and a partial site", () => {
    const rigs = RIG_KINDS.map((kind) => ({ id: kind, name: kind, kind }));
    for (const place of [{}, { site: NORTH_SHORE }]) {
      const world = SiteWorld.planned({ rigs, ...place }, NOW);
      const orders: Order[] = [
        { type: "startPractice", anchor: "max", offsetS: -100, rate: 2 },
        { type: "call", call: "stay filtered" },
        { type: "call", call: "sun returns" },
        { type: "shiftContact", contact: "max", shiftS: 3 },
        { type: "cover" },
        { type: "releaseCover" },
        { type: "answerHelp", rigId: RIG_KINDS[0] },
        { type: "revokeLink", rigId: RIG_KINDS[0] },
        { type: "sendMessage", text: "Wind from the west", rigIds: null },
        { type: "endPractice" },
      ];
      for (const [n, order] of orders.entries()) {
        expect(world.order(order, NOW + n * 1000)).not.toHaveProperty("refusal");
      }
      world.report(
        "west",
        { filter: "off", looked: true, checks: { focus: true }, cueDone: "filter-off" },
        { at: NOW },
      );
      expect(world.log.length).toBeGreaterThan(orders.length);
      expect(troubles(world.log)).toEqual([]);
    }
  });

  it("passes with every mark that a fact can bear", () => {
    for (const flag of LATE_FLAGS)
      expect(payloadTrouble("rigReported", { rigId: "west", flags: [flag] })).toBeNull();
  });

  it("does not pass when it lacks or misshapes what is read of it", () => {
    const [plan] = SiteWorld.planned({}, NOW).log;
    const spoilt = structuredClone(plan) as any;
    delete spoilt.payload.plan.rigs[0].cues[0].anchor;
    expect(troubles([spoilt])).toEqual([expect.stringContaining("planSaved: plan rigs.0.cues.0.anchor")]);
    expect(troubles([{ ...plan, observedUtcMs: Number.MAX_VALUE } as never])).toHaveLength(1);
    expect(payloadTrouble("rigReported", { rigId: "__proto__", flags: [] })).toContain("rigId");
  });
});
