/** SPEC R8. */
import { describe, expect, test } from "vitest";
import { playedDeviceId } from "../../../../shared/run/facts/played.ts";
import { SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);

describe("R8: a practice run and the real one", () => {
  test("in the practice the newest word of either counts", () => {
    const world = SiteWorld.planned();
    world.report("west", { cardFreeGB: 30, batteryPct: 80 }, { at: NOW });
    world.practise(NOW + S);
    world.report("west", { cardFreeGB: 12 }, { at: NOW + 2 * S });
    expect(world.rig("west", NOW + 3 * S)).toMatchObject({ cardFreeGB: 12, batteryPct: 80 });
  });

  test("cues marked in the practice are the practice's own", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -30);
    world.report("west", { cueDone: "filter-off" }, { at: NOW + 12 * S });
    const marked = world.rig("west", NOW + 13 * S).cues.find((cue) => cue.id === "filter-off");
    expect(marked?.state).toBe("done");
    world.practise(NOW + 20 * S, -30);
    const fresh = world.rig("west", NOW + 20 * S).cues.find((cue) => cue.id === "filter-off");
    expect(fresh?.state).toBe("next");
  });
});

/** 10:00 UTC, midday at this site: the real Sun is up. */
const DAY = Date.UTC(2027, 6, 25, 10);

describe("S8, S9: a simulated operator looks at nothing", () => {
  test("so an open filter under the real Sun stays open, whatever it says of it", () => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "off" }, { at: DAY });
    world.practise(DAY + S, -180);
    const device = playedDeviceId("one");
    world.report("west", { filter: "on", looked: true }, { at: DAY + 5 * S, device });
    expect(world.rig("west", DAY + 6 * S)).toMatchObject({ filter: "off", exposed: true });
    world.report("west", { filter: "on", looked: true }, { at: DAY + 7 * S });
    expect(world.rig("west", DAY + 8 * S)).toMatchObject({ filter: "on", exposed: false });
  });

  test("and one who plays on after another takes over what that one said", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -30);
    const said = (value: "on" | "off", at: number, device: string, seq: number) =>
      world.report("west", { filter: value, looked: true }, { at, device: playedDeviceId(device), seq });
    said("off", NOW + 12 * S, "one", 50);
    said("on", NOW + 20 * S, "two", 1);
    expect(world.rig("west", NOW + 21 * S)).toMatchObject({ filter: "on", verdict: { disputedBy: [] } });
  });
});
