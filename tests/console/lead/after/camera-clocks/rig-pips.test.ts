/** Which pips are looked for in a video's sound: those that the rig's phone gave. */
import { describe, expect, it } from "vitest";
import { pipsOf } from "../../../../../console/lead/after/camera-clocks/rig-pips.ts";
import type { Rig } from "../../../../../shared/plan/model/plan.ts";
import { SiteWorld } from "../../../../shared/run/site-world.ts";

describe("pips of a rig", () => {
  const world = SiteWorld.planned();
  const west = (): Rig => world.state.plan.rigs.find(({ id }) => id === "west") as Rig;
  const at = () => pipsOf(west(), world.state, []).pips.map(({ atUtcMs }) => atUtcMs);

  it("are one each second of a count-in and a long one at the end of it", () => {
    const [cue] = west().cues.filter(({ on, countInS }) => on && countInS > 0);
    const { pips, told } = pipsOf(west(), world.state, []);
    expect(told).toBe(false);
    const long = pips.filter(({ lengthMs }) => lengthMs === 500);
    expect(long.length).toBeGreaterThan(1);
    const own = pips.slice(0, (cue?.countInS ?? 0) + 1);
    expect(own.at(-1)?.lengthMs).toBe(500);
    for (const [i, pip] of own.slice(1).entries()) expect(pip.atUtcMs - (own[i]?.atUtcMs ?? 0)).toBe(1000);
  });

  it("are those of the variant that was in force", () => {
    const before = at();
    const counted = west().cues.find(({ on, countInS }) => on && countInS > 0);
    const cueId = counted?.id ?? "";
    const rig = { ...west(), variants: { overcast: [{ do: "switch" as const, cueId, on: false }] } };
    const ifRevision = world.state.planParts.rigs.west?.revision ?? 0;
    const now = world.predicted.c1 + 1000;
    world.order({ type: "saveRig", rig, ifRevision }, now);
    expect(at()).toEqual(before);
    world.order({ type: "chooseVariant", variant: "overcast", rigIds: ["west"] }, now + 1000);
    expect(before.length - at().length).toBe((counted?.countInS ?? 0) + 1);
  });

  it("are what phones said that they sounded, where they said it: two phones at once are one", () => {
    const at = world.predicted.c2;
    const countIns = [
      { atUtcMs: at - 20_000, pips: 3, boundMs: 4 },
      { atUtcMs: at - 19_990, pips: 3, boundMs: 9 },
      { atUtcMs: at + 8000.25, pips: 0, boundMs: 4 },
    ];
    const { pips, told, boundMs } = pipsOf(west(), world.state, countIns);
    expect(told).toBe(true);
    expect(boundMs).toBe(9);
    expect(pips).toEqual([
      ...[-23_000, -22_000, -21_000].map((ms) => ({ atUtcMs: at + ms, lengthMs: 100 })),
      { atUtcMs: at - 20_000, lengthMs: 500 },
      { atUtcMs: at + 8000.25, lengthMs: 500 },
    ]);
  });
});
