/** SPEC R7. */
import { describe, expect, test } from "vitest";
import { SILENT_MS } from "../../../../shared/run/facts/filter-knowledge.ts";
import { linkedTo, SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);

describe("R7: silence", () => {
  test("a rig nobody is linked to and silent for 15 minutes has an unknown filter", () => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "on" }, { at: NOW });
    expect(SILENT_MS).toBe(15 * 60 * S);
    expect(world.rig("west", NOW + SILENT_MS).filter).toBe("on");
    expect(world.rig("west", NOW + SILENT_MS + 1)).toMatchObject({ filter: "unknown", silent: true });
    expect(world.rig("west", NOW + SILENT_MS + 1, linkedTo("west")).filter).toBe("on");
  });

  test("but silence never makes an open filter look better", () => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "off" }, { at: NOW });
    expect(world.rig("west", NOW + 2 * SILENT_MS).filter).toBe("off");
  });

  test("a rig that never spoke is unknown, one without a filter by design is not", () => {
    const world = SiteWorld.planned();
    expect(world.rig("west", NOW, linkedTo("west")).filter).toBe("unknown");
    expect(world.rig("wide", NOW).filter).toBe("none by design");
  });
});
