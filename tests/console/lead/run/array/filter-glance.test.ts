/** The sentence over the array: counts by what a filter is and ought to be now (S1, S3, S4, S11). */
import { describe, expect, it } from "vitest";
import {
  glanceCounts,
  glanceKind,
  isCalm,
  isGlance,
  isOnlyOpen,
} from "../../../../../console/lead/run/array/filter-glance.ts";
import { runMs } from "../../../../../shared/time/instants.ts";

const contacts = { c2: runMs(100_000), c3: runMs(300_000) };
const allowance = { offFrom: { anchor: "C2", offsetS: -20 } } as never;
const off = (mode: string, state = "late", dueMs = 105_000) => [
  { cue: { action: "filter-off" }, state, mode, dueMs },
];
const rig = (filter: string, more: object = {}) =>
  ({ filter, exposed: false, allowance, cues: off("plain"), ...more }) as never;

describe("one sentence of all filters", () => {
  it("what is wrong comes first, and nobody is counted twice", () => {
    const rigs = [
      rig("off"),
      rig("off"),
      rig("off", { exposed: true }),
      rig("on"),
      rig("on", { allowance: null }),
      rig("unknown"),
      rig("capped"),
      rig("none by design"),
    ];
    const counts = glanceCounts(rigs, contacts, 200_000);
    expect(counts.map(({ kind, count }) => [kind, count])).toEqual([
      ["open", 1],
      ["off", 2],
      ["stillOn", 1],
      ["stays", 1],
      ["unknown", 1],
      ["capped", 1],
      ["none", 1],
    ]);
    expect(counts.reduce((sum, { count }) => sum + count, 0)).toBe(rigs.length);
  });

  it("a filter is still on only from C2+10 s (S3) until 20 s before C3 (S11), and only one that may come off", () => {
    const at = (s: number, more = {}) => glanceKind(rig("on", more), contacts, s * 1000);
    expect([at(50), at(109), at(110), at(280), at(281), at(400)]).toEqual([
      "on",
      "on",
      "stillOn",
      "stillOn",
      "on",
      "on",
    ]);
    expect(at(200, { allowance: null })).toBe("stays");
    // Touches in practice, doubt, cloud, and what was done or skipped: nobody is to take it off now.
    for (const cues of [off("touch"), off("by-eye"), off("overcast"), off("plain", "skipped"), []])
      expect(at(200, { cues })).toBe("on");
  });

  it("a filter whose cue was ten seconds ago is named as still on, which is no caution before C2+10 s", () => {
    const early = rig("on", { cues: off("plain", "now", 80_000) });
    const kinds = [85, 89, 90, 109, 110].map((s) => glanceKind(early, contacts, s * 1000));
    expect(kinds).toEqual(["on", "on", "stillOn", "stillOn", "stillOn"]);
    expect([90, 109, 110].map((s) => glanceCounts([early], contacts, s * 1000)[0]?.tone)).toEqual([
      "plain",
      "plain",
      "caution",
    ]);
    expect(glanceKind(rig("on", { cues: off("by-eye", "now", 80_000) }), contacts, 95_000)).toBe("on");
  });

  it("is the page from half a minute before C2 to a minute after C3, where there is a totality", () => {
    expect([69, 70, 360, 361].map((s) => isGlance(contacts, true, s * 1000))).toEqual([
      false,
      true,
      true,
      false,
    ]);
    expect(isGlance(contacts, false, 200_000)).toBe(false);
    expect(isGlance({ c2: null, c3: null }, true, 0)).toBe(false);
  });

  it("all is well only while this console hears the hub, and nothing concerns the whole site", () => {
    const alert = (priority: string, cause: string) => ({ id: cause, cause, priority, rigId: null }) as never;
    const calm = (presenceKnown: boolean, ...alerts: never[]) => isCalm({ presenceKnown, alerts });
    expect(calm(true)).toBe(true);
    expect(calm(true, alert("advice", "clock-bound"))).toBe(true);
    expect(calm(true, alert("caution", "site-unconfirmed"))).toBe(false);
    expect(calm(true, alert("danger", "cover-latched"))).toBe(false);
    expect(calm(false)).toBe(false);
  });
});

describe("around C3", () => {
  it("nothing but what is open is said from 20 s before to 20 s after", () => {
    const at = (s: number) => isOnlyOpen(contacts, s * 1000);
    expect([at(279), at(280), at(300), at(320), at(321)]).toEqual([false, true, true, true, false]);
    expect(isOnlyOpen({ c3: null }, 300_000)).toBe(false);
  });
});
