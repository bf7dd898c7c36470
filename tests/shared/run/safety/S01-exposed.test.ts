/**
 * S1 in a run: exposed and `off` outside the allowance is danger. The frame is NASA's eye-safety
 * text (filters on except in totality); the seconds of S3 and S4 are common practice, no source.
 */
import { describe, expect, test } from "vitest";
import { alertsAt } from "../../../../shared/run/alerts/alerts.ts";
import { isExposed } from "../../../../shared/run/alerts/exposure.ts";
import { GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import { runMs, utcMs } from "../../../../shared/time/instants.ts";
import { linkedTo, NORTH_SHORE, SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);

/** Alerts of danger for a rig said to be off, at seconds from C2 or C3 of a practice. */
function dangerAt(rigId: string, anchor: "C2" | "C3", offsetS: number): boolean {
  const world = SiteWorld.planned();
  world.practise(NOW, offsetS, 1, anchor);
  world.report(rigId, { filter: "off" }, { at: NOW });
  return alertsAt(world.state, linkedTo("west", "eye", "wide"), GOOD_CLOCK, utcMs(NOW)).some(
    (alert) => alert.priority === "danger" && alert.cause === "exposed" && alert.rigId === rigId,
  );
}

describe("S1: exposed and off outside the allowance is danger", () => {
  test.each<[string, "C2" | "C3", number, boolean]>([
    // 480 mm: off at most 30 s early, on by C3+15 s (S4)
    ["west", "C2", -3600, true],
    ["west", "C2", -30.1, true],
    ["west", "C2", -30, false],
    ["west", "C2", 60, false],
    ["west", "C3", 14.9, false],
    ["west", "C3", 15, true],
    ["west", "C3", 600, true],
    // looked through: not before C2+10 s, seated by C3−10 s (S3)
    ["eye", "C2", -5, true],
    ["eye", "C2", 9.9, true],
    ["eye", "C2", 10, false],
    ["eye", "C3", -10.1, false],
    ["eye", "C3", -10, true],
  ])("%s at %s%+d s: danger %s", (rigId, anchor, offsetS, danger) => {
    expect(dangerAt(rigId, anchor, offsetS)).toBe(danger);
  });

  test("a camera without a filter by design never raises it", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -600);
    world.report("wide", { filter: "off" }, { at: NOW });
    expect(
      alertsAt(world.state, linkedTo("wide"), GOOD_CLOCK, utcMs(NOW)).map((alert) => alert.cause),
    ).not.toContain("exposed");
  });

  test("where the eclipse is partial it is danger throughout, maximum included (S2)", () => {
    const world = SiteWorld.planned({ site: NORTH_SHORE });
    for (const offsetS of [-1800, 0, 1800]) {
      world.practise(NOW, offsetS, 1, "max");
      world.report("west", { filter: "off" }, { at: NOW, seq: 10_000 + offsetS });
      expect(alertsAt(world.state, linkedTo("west"), GOOD_CLOCK, utcMs(NOW))[0]).toMatchObject({
        priority: "danger",
        id: "exposed:west",
      });
    }
  });

  test("in the real run, too, by the real Sun: exposed by day, not in totality, not by night", () => {
    const world = SiteWorld.planned();
    const { c1, c2, c3 } = world.predicted;
    const at = (ms: number) => isExposed(world.state, world.contacts(ms), runMs(ms));
    expect(at(c1)).toBe(true);
    expect(at(c2 - 1)).toBe(true);
    expect(at(c2)).toBe(false);
    expect(at(c3 - 1)).toBe(false);
    expect(at(c3)).toBe(true);
    // Midnight at 32.6° E is about 22 h UTC.
    expect(at(Date.UTC(2027, 7, 1, 22))).toBe(false);
  });

  test("a C2 shifted far ahead of the prediction makes no totality by itself, a call by eye does", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -70, 1, "C2");
    world.order({ type: "shiftContact", contact: "c2", shiftS: -60 }, NOW);
    world.report("west", { filter: "off" }, { at: NOW + 1 * S });
    const exposed = (at: number) =>
      alertsAt(world.state, linkedTo("west"), GOOD_CLOCK, utcMs(at)).some((one) => one.id === "exposed:west");
    // 480 mm may be off from 30 s before a C2 that is believed: 10 s before the predicted one.
    expect(exposed(NOW + 29.9 * S)).toBe(true);
    expect(exposed(NOW + 30 * S)).toBe(false);
    expect(isExposed(world.state, world.contacts(NOW), world.view(NOW + 59 * S).runNow)).toBe(true);
    world.order({ type: "call", call: "totality" }, NOW + 58 * S);
    expect(isExposed(world.state, world.contacts(NOW), world.view(NOW + 59 * S).runNow)).toBe(false);
  });

  test("effective contacts count: the Sun called back early exposes at once", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, 60);
    world.report("west", { filter: "off" }, { at: NOW });
    world.order({ type: "call", call: "sun returns" }, NOW + 1 * S);
    expect(isExposed(world.state, world.contacts(NOW + 2 * S), world.view(NOW + 2 * S).runNow)).toBe(true);
  });
});
