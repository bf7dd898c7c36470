/** S10: no filter-off cue before a filter report. */
import { describe, expect, test } from "vitest";
import { linkedTo, SiteWorld } from "../site-world.ts";

const NOW = Date.UTC(2027, 6, 25);

function modeOf(world: SiteWorld, cueId: string) {
  const view = world.view(NOW + 1000, linkedTo("west"));
  const status = view.rigs.find((item) => item.rig.id === "west");
  const cue = status?.cues.find((item) => item.id === cueId);
  if (!cue) throw new Error("no such cue");
  return cue.mode;
}

describe("S10: who joins late", () => {
  test("has an unknown filter and is asked for it before any filter-off", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -25);
    world.report("west", { practiceSafe: true }, { at: NOW });
    expect(world.rig("west", NOW + 1000, linkedTo("west")).filter).toBe("unknown");
    expect(modeOf(world, "filter-off")).toBe("filter-first");
    world.report("west", { filter: "on", looked: true }, { at: NOW + 1 });
    expect(modeOf(world, "filter-off")).toBe("plain");
  });

  // Six hours are common practice, no source.
  test("is asked anew when the last word is older than six hours, unless it was off", () => {
    const hours = 3_600_000;
    const said = (filter: "on" | "off" | "capped", agoH: number) => {
      const world = SiteWorld.planned();
      world.report("west", { filter, looked: true }, { at: NOW - agoH * hours, device: "old-phone" });
      return world.rig("west", NOW, linkedTo("west")).filter;
    };
    expect([said("on", 5.9), said("capped", 5.9)]).toEqual(["on", "capped"]);
    expect([said("on", 6.1), said("capped", 72), said("off", 72)]).toEqual(["unknown", "unknown", "off"]);
  });

  test("is never kept from what makes safe", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -25);
    world.report("west", { practiceSafe: true }, { at: NOW });
    expect(modeOf(world, "filter-on")).toBe("plain");
  });
});
