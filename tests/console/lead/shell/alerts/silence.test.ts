/** Which dangers a lead hears, and for how long a silence holds. */
import { describe, expect, it } from "vitest";
import { heardOf, SILENCE_MS, silenceFor } from "../../../../../console/lead/shell/alerts/silence.ts";
import type { Alert } from "../../../../../shared/run/alerts/alerts.ts";
import { utcMs } from "../../../../../shared/time/instants.ts";

const T0 = 1_800_000_000_000;
const alert = (id: string, sinceS = 0, more: Partial<Alert> = {}): Alert => ({
  id,
  cause: "exposed",
  priority: "danger",
  rigId: id,
  sinceUtcMs: utcMs(T0 + sinceS * 1000),
  ...more,
});
const ids = (alerts: readonly Alert[]) => alerts.map(({ id }) => id);

describe("danger is heard", () => {
  it("and nothing less grave is", () => {
    const caution = alert("late", 0, { priority: "caution", cause: "filter-late" });
    expect(ids(heardOf([alert("west"), caution], null, T0))).toEqual(["west"]);
  });

  it("not while it is silenced, and again when the stated time is over", () => {
    const west = alert("west");
    const silence = silenceFor([west], T0 + 5000);
    expect(silence.untilUtcMs).toBe(T0 + 5000 + SILENCE_MS);
    expect(heardOf([west], silence, T0 + 6000)).toEqual([]);
    expect(ids(heardOf([west], silence, silence.untilUtcMs))).toEqual(["west"]);
  });

  it("though another was silenced before: one that comes new, or the same that came anew", () => {
    const silence = silenceFor([alert("west")], T0);
    expect(ids(heardOf([alert("west"), alert("south", 20)], silence, T0 + 21_000))).toEqual(["south"]);
    expect(ids(heardOf([alert("west", 30)], silence, T0 + 31_000))).toEqual(["west"]);
  });

  it("for ten seconds where it is an order of a lead, which stands for as long as it takes", () => {
    const cover = alert("cover-latched", 0, { cause: "cover-latched", rigId: null });
    expect(heardOf([cover], null, T0 + 10_000)).toHaveLength(1);
    expect(heardOf([cover], null, T0 + 10_001)).toEqual([]);
  });
});
