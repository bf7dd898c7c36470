/** Whatever the hub itself logs passes the check that events from elsewhere are put to. */
import { describe, expect, it } from "vitest";
import { RIG_KINDS } from "../../../shared/plan/model/vocabulary.ts";
import { envelopeTrouble, PAYLOAD_SCHEMAS, payloadTrouble } from "../../../shared/run/event-schemas.ts";
import { EVENT_VERSIONS, LATE_FLAGS, type SiteEvent } from "../../../shared/run/events.ts";
import type { Order } from "../../../shared/run/orders/commands.ts";
import { upcast } from "../../../shared/run/upcasts.ts";
import { stampedAt } from "../images/place/frames.ts";
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
        {
          type: "startPractice",
          anchor: "max",
          offsetS: -100,
          rate: 2,
          programme: {
            until: { anchor: "C4", offsetS: 0 },
            played: [RIG_KINDS[0]],
            safe: [RIG_KINDS[1]],
            faults: [
              { kind: "cloud", anchor: "max", offsetS: 5, forS: 9, rigIds: null, words: "", wordsOver: "" },
            ],
            repeats: 3,
            pauseS: 30,
            part: 2,
            id: null,
          },
        },
        { type: "call", call: "stay filtered" },
        { type: "call", call: "sun returns" },
        { type: "shiftContact", contact: "max", shiftS: 3 },
        { type: "cover" },
        { type: "releaseCover" },
        { type: "answerHelp", rigId: RIG_KINDS[0] },
        { type: "revokeLink", rigId: RIG_KINDS[0] },
        { type: "sendMessage", text: "Wind from the west", rigIds: null },
        {
          type: "noteCameraClock",
          rigId: RIG_KINDS[0],
          camera: "A",
          zoneMin: 120,
          basis: { how: "hand", offsetS: 3.4, boundS: 0.2, utcMs: NOW },
        },
        {
          type: "noteImages",
          runId: null,
          rigId: RIG_KINDS[0],
          camera: null,
          replaces: false,
          frames: [stampedAt(NOW)],
        },
        {
          type: "noteSeenContact",
          contact: "c2",
          rigId: RIG_KINDS[0],
          camera: "A",
          beforeMs: NOW,
          afterMs: NOW + 500,
          stepMs: 10,
          beforeName: "bead.jpg",
          afterName: "",
        },
        { type: "endPractice" },
        { type: "chooseVariant", variant: "overcast", rigIds: null },
        { type: "removeRig", rigId: RIG_KINDS[1], ifRevision: 1 },
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
    const [site, rig] = SiteWorld.planned({}, NOW).log;
    const spoilt = structuredClone(rig) as any;
    delete spoilt.payload.rig.cues[0].anchor;
    expect(troubles([spoilt])).toEqual([expect.stringContaining("rigPlanned: rig.cues.0.anchor")]);
    expect(troubles([{ ...site, observedUtcMs: Number.MAX_VALUE } as never])).toHaveLength(1);
    expect(payloadTrouble("rigReported", { rigId: "__proto__", flags: [] })).toContain("rigId");
  });

  it("is read with the defaults of fields that it lacks: an older program knew them not yet", () => {
    const [site, rig] = SiteWorld.planned({}, NOW).log as any[];
    const older = structuredClone([site, rig]);
    delete older[0].payload.part.site.skyline;
    delete older[0].payload.part.site.confirmed;
    delete older[0].payload.part.limb;
    delete older[1].payload.rig.unattended;
    delete older[1].payload.rig.operator;
    const read = older.map((event) => upcast(event));
    expect(troubles(read)).toEqual([]);
    expect(read).toEqual([site, rig]);
  });
});
