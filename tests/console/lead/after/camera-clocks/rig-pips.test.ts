/** Which pips are looked for in a video's sound: those that the rig's phone gave. */
import { describe, expect, it } from "vitest";
import { pipsOf } from "../../../../../console/lead/after/camera-clocks/rig-pips.ts";
import type { Rig } from "../../../../../shared/plan/model/plan.ts";
import { SiteWorld } from "../../../../shared/run/site-world.ts";

describe("pips of a rig", () => {
  const world = SiteWorld.planned();
  const west = (): Rig => world.state.plan.rigs.find(({ id }) => id === "west") as Rig;
  const at = () => pipsOf(west(), world.state).map(({ atUtcMs }) => atUtcMs);

  it("are one each second of a count-in and a long one at the end of it", () => {
    const [cue] = west().cues.filter(({ on, countInS }) => on && countInS > 0);
    const pips = pipsOf(west(), world.state);
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
});
