/** SPEC R12 and R13. */
import { describe, expect, test } from "vitest";
import type { LoggedEvent } from "../../../../shared/run/logged-event.ts";
import { FactSchema, HttpReportSchema, OrderSchema, parse } from "../../../../shared/run/orders/commands.ts";
import { UnknownEventError, upcast } from "../../../../shared/run/upcasts.ts";
import { draft, SiteWorld } from "../site-world.ts";

const NOW = Date.UTC(2027, 6, 25);
const FACT = { v: 1, rigId: "west", deviceSeq: 0, observedUtcMs: NOW, report: { filter: "on" } };

describe("R12: strict, and the first wrong field is named", () => {
  test.each<[unknown, string, RegExp]>([
    [{ ...FACT, v: 2 }, "v", /version this hub knows/],
    [{ ...FACT, report: {} }, "report", /must say something/],
    [{ ...FACT, report: { filter: "half" } }, "report.filter", /on, off, unknown or capped/],
    [{ ...FACT, report: { cardFreeGB: Number.NaN } }, "report.cardFreeGB", /number/],
    [{ ...FACT, report: { mood: "fine" } }, "report.mood", /not a known field/],
    [{ ...FACT, observedUtcMs: NOW / 1000 }, "observedUtcMs", /at least/],
    [{ ...FACT, deviceSeq: 1.5 }, "deviceSeq", /whole/],
    [{ ...FACT, rigId: undefined }, "rigId", /missing|text/],
    [{ ...FACT, extra: 1 }, "extra", /not a known field/],
    [
      {
        ...FACT,
        report: { checks: Object.fromEntries(Array.from({ length: 61 }, (_, n) => [`c${n}`, true])) },
      },
      "report.checks",
      /at most 60/,
    ],
  ])("a fact %j names %s", (input, field, message) => {
    const parsed = parse(FactSchema, input);
    expect(parsed).toMatchObject({ ok: false, refusal: { code: "bad-input", field } });
    if (!parsed.ok) expect(parsed.refusal.message).toMatch(message);
  });

  test.each<[unknown, string]>([
    [{ type: "dance" }, "type"],
    [{ type: "call", call: "hello" }, "call"],
    [{ type: "shiftContact", contact: "c9", shiftS: 1 }, "contact"],
    [{ type: "shiftContact", contact: "c2", shiftS: 601 }, "shiftS"],
    [{ type: "startPractice", anchor: "C2", rate: 0.5 }, "rate"],
    [{ type: "startPractice", anchor: "C2", rate: 21 }, "rate"],
    [{ type: "startPractice", anchor: "c2" }, "anchor"],
    [{ type: "sendMessage", text: "   " }, "text"],
    [{ type: "cover", now: true }, "now"],
  ])("an order %j names %s", (input, field) => {
    expect(parse(OrderSchema, input)).toMatchObject({ ok: false, refusal: { field } });
  });

  test("what is not even an object is refused, too", () => {
    for (const input of [null, 7, "cover", [], undefined]) {
      expect(parse(OrderSchema, input)).toMatchObject({ ok: false, refusal: { code: "bad-input" } });
      expect(parse(FactSchema, input)).toMatchObject({ ok: false });
      expect(parse(HttpReportSchema, input)).toMatchObject({ ok: false });
    }
  });

  test("a refused order leaves nothing behind", () => {
    const world = SiteWorld.planned();
    const before = world.state;
    for (const [order, code] of [
      [{ type: "savePlan", draft: draft(), ifRevision: 0 }, "stale-plan"],
      [{ type: "savePlan", draft: draft({ eclipse: "2027-08-03" }), ifRevision: 1 }, "eclipse-unknown"],
      [{ type: "endPractice" }, "no-practice"],
      [{ type: "answerHelp", rigId: "gone" }, "not-found"],
      [{ type: "revokeLink", rigId: "gone" }, "not-found"],
      [{ type: "sendMessage", text: "hi", rigIds: ["west", "gone"] }, "not-found"],
    ] as const) {
      expect(world.order(order as never, NOW), order.type).toMatchObject({ refusal: { code } });
    }
    expect(world.state).toBe(before);
  });

  test("there is nothing to practise before a site is chosen", () => {
    const world = new SiteWorld();
    expect(world.order({ type: "startPractice", anchor: "C2", offsetS: 0, rate: 1 }, NOW)).toMatchObject({
      refusal: { code: "no-site" },
    });
  });
});

describe("R13: events of a newer program", () => {
  test("are not guessed at", () => {
    const event = SiteWorld.planned().log[0] as LoggedEvent;
    expect(upcast(event)).toEqual(event);
    expect(() => upcast({ ...event, v: event.v + 1 })).toThrow(UnknownEventError);
    expect(() => upcast({ ...event, type: "somethingNew" })).toThrow(/newer program/);
  });
});
