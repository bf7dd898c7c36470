/**
 * When a cue may be put as an order, by the numbered safety rules (shared/plan/safety/SPEC.md).
 * Each test is named by its rule.
 */
import "../../../../console/words/bundles/common.ts";
import "../../../../console/words/bundles/plan.ts";
import "../../../../console/words/bundles/rig.ts";
import { describe, expect, it } from "vitest";
import { putWords } from "../../../../console/parts/words-for-cue.ts";
import { setFilter } from "../../../../console/rig/run/rig-reports.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";
import { lineOf, S, sceneOf } from "../rig-world.ts";

function world(): { site: SiteWorld; c2: number; c3: number } {
  const site = SiteWorld.planned();
  return { site, c2: site.predicted.c2, c3: site.predicted.c3 };
}

const known = (site: SiteWorld, rigId = "west") =>
  site.report(rigId, { filter: "on" }, { at: site.predicted.c1 - 3600 * S });

describe("filter cues on the rig page", () => {
  it("S5: in doubt a filter-off is by eye only, whatever the doubt, and says so", () => {
    const { site, c2 } = world();
    known(site);
    const scene = sceneOf(site, c2 - 7 * S, ["west"], { boundMs: 4000 });
    const line = lineOf(scene, "west/filter-off");
    expect(line.mode).toBe("by-eye");
    expect(putWords(line)).toMatch(/when you see totality/);
    expect(scene.picture.confirm?.id).not.toBe("filter-off");
    expect(scene.picture.askTotality).toEqual(["west"]);
  });

  it("S5: a clock that was never set is a doubt", () => {
    const { site, c2 } = world();
    known(site);
    const infinite = { boundMs: Number.POSITIVE_INFINITY, utcBoundMs: Number.POSITIVE_INFINITY };
    expect(lineOf(sceneOf(site, c2 - 15 * S, ["west"], infinite), "west/filter-off").mode).toBe("by-eye");
  });

  it("S5: 'I see totality' releases the rigs in the operator's hands, at the moment it was seen", () => {
    const { site, c2 } = world();
    known(site);
    // The prediction is late: the operator sees totality 25 s before the page expects it.
    const doubt = { boundMs: 25_000 };
    site.report("west", { sawTotality: true }, { at: c2 - 25 * S });
    const scene = sceneOf(site, c2 - 24 * S, ["west"], doubt);
    expect(lineOf(scene, "west/filter-off").mode).toBe("plain");
    expect(scene.picture.instruction?.id).toBe("filter-off");
    expect(scene.picture.due).toBe(true);
    site.report("west", { sawTotality: false }, { at: c2 - 23 * S });
    expect(lineOf(sceneOf(site, c2 - 22 * S, ["west"], doubt), "west/filter-off").mode).toBe("by-eye");
  });

  it("S5 with S6: 'I see totality' is not offered long before C2, nor without doubt, nor after C3", () => {
    const { site, c2, c3 } = world();
    known(site);
    const doubt = { boundMs: 1200 };
    expect(sceneOf(site, c2 - 60 * S, ["west"], doubt).picture.askTotality).toEqual([]);
    expect(sceneOf(site, c2 - 10 * S).picture.askTotality).toEqual([]);
    expect(sceneOf(site, c3 + 1 * S, ["west"], doubt).picture.askTotality).toEqual([]);
  });

  it("S5: doubt brings filter-on forward and never withholds it", () => {
    const { site, c2, c3 } = world();
    known(site);
    site.report("west", { cueDone: "filter-off", filter: "off" }, { at: c2 - 10 * S });
    const sure = lineOf(sceneOf(site, c3 - 60 * S), "west/filter-on");
    const doubtful = lineOf(sceneOf(site, c3 - 60 * S, ["west"], { boundMs: 4000 }), "west/filter-on");
    expect(doubtful.mode).toBe("plain");
    expect(doubtful.dueMs).toBeLessThan(sure.dueMs - 3900);
  });

  it("S7: while 'cover every lens' stands no filter comes off, and filter-on stays", () => {
    const { site, c2, c3 } = world();
    known(site);
    const scene = sceneOf(site, c2 - 15 * S, ["west"], { cover: true });
    expect(lineOf(scene, "west/filter-off").mode).toBe("covered");
    expect(scene.picture.instruction?.id).not.toBe("filter-off");
    expect(lineOf(sceneOf(site, c3 + 6 * S, ["west"], { cover: true }), "west/filter-on").mode).toBe("plain");
  });

  it("S8: in practice filters are touched and left on, also where the lead chose other words", () => {
    const site = SiteWorld.planned();
    // Noon at the site: under the real Sun.
    const at = Date.UTC(2027, 6, 25, 10);
    known(site);
    site.practise(at, -30);
    const scene = sceneOf(site, at + 11 * S);
    expect(scene.picture.instruction?.mode).toBe("touch");
    const line = lineOf(scene, "west/filter-off");
    expect(putWords({ ...line, cue: { ...line.cue, say: "Rip it off!" } })).toMatch(/leave it on/);
    site.report("west", { practiceSafe: true }, { at: at + 11 * S });
    expect(lineOf(sceneOf(site, at + 12 * S), "west/filter-off").mode).not.toBe("touch");
  });

  it("S8: the page ends a practice by itself", () => {
    const site = SiteWorld.planned();
    const at = site.predicted.c1 - 21 * 60 * S;
    site.practise(at, -180);
    expect(sceneOf(site, at + 30 * S).practice).not.toBeNull();
    expect(sceneOf(site, site.predicted.c1 - 19 * 60 * S).practice).toBeNull();
  });

  it("S9: where two phones disagree the answer settles it as somebody who has looked", () => {
    const { site, c2 } = world();
    site.report("west", { filter: "off" }, { at: c2 - 300 * S, device: "a" });
    site.report("west", { filter: "on" }, { at: c2 - 290 * S, device: "b" });
    const status = sceneOf(site, c2 - 280 * S).rigs[0];
    expect(status?.verdict.state).toBe("off");
    expect(status?.verdict.disputedBy).toHaveLength(1);
    if (!status) return;
    const tap = setFilter(status, "on", [], true);
    site.report("west", tap.report, { at: c2 - 270 * S, device: "b" });
    const after = sceneOf(site, c2 - 260 * S).rigs[0];
    expect(after?.verdict).toMatchObject({ state: "on", disputedBy: [] });
  });

  it("a phone whose link was replaced takes no filter off, whatever is called or seen; it goes on with filter-on", () => {
    const { site, c2, c3 } = world();
    known(site);
    const refusedRigs = [{ rigId: "west", reason: "revoked" as const }];
    const at = (now: number, rest = {}) => sceneOf(site, now, ["west"], { refusedRigs, ...rest });
    const scene = at(c2 - 15 * S);
    const line = lineOf(scene, "west/filter-off");
    expect(line.mode).toBe("revoked");
    expect(putWords(line)).toMatch(/stays on/);
    expect(scene.picture.confirm?.id).not.toBe("filter-off");
    // In doubt (S5) it is not offered to the eye either.
    expect(at(c2 - 3 * S, { boundMs: 1200 }).picture.askTotality).toEqual([]);
    site.report("west", { sawTotality: true }, { at: c2 + 1 * S });
    expect(lineOf(at(c2 + 2 * S), "west/filter-off").mode).toBe("revoked");
    expect(lineOf(at(c3 + 6 * S), "west/filter-on").mode).toBe("plain");
    // Another hub at the address says nothing of this phone: it goes on as any phone alone.
    const other = { refusedRigs: [{ rigId: "west", reason: "other hub" as const }] };
    expect(lineOf(sceneOf(site, c2 - 15 * S, ["west"], other), "west/filter-off").mode).toBe("plain");
    expect(lineOf(sceneOf(site, c2 - 15 * S, ["eye", "west"], { refusedRigs }), "eye/filter-off").mode).toBe(
      "filter-first",
    );
  });

  it("S10: no filter-off before somebody has said what the filter is", () => {
    const { site, c2 } = world();
    const scene = sceneOf(site, c2 - 15 * S);
    expect(lineOf(scene, "west/filter-off").mode).toBe("filter-first");
    expect(scene.picture.confirm?.id).not.toBe("filter-off");
    known(site);
    expect(lineOf(sceneOf(site, c2 - 15 * S), "west/filter-off").mode).toBe("plain");
  });

  it("S11: under an overcast sky, and with too little totality left, the filter stays on", () => {
    const { site, c2, c3 } = world();
    known(site);
    known(site, "eye");
    site.report("west", { sky: "overcast" }, { at: c2 - 60 * S });
    expect(lineOf(sceneOf(site, c2 - 15 * S), "west/filter-off").mode).toBe("overcast");
    site.report("west", { sky: "broken" }, { at: c3 - 30 * S });
    // S11: a camera with at least 20 s left, a looked-through rig with at least 40 s.
    expect(lineOf(sceneOf(site, c3 - 21 * S), "west/filter-off").mode).toBe("plain");
    expect(lineOf(sceneOf(site, c3 - 19 * S), "west/filter-off").mode).toBe("too-late");
    expect(lineOf(sceneOf(site, c3 - 39 * S, ["eye"]), "eye/filter-off").mode).toBe("too-late");
    expect(lineOf(sceneOf(site, c3 - 41 * S, ["eye"]), "eye/filter-off").mode).toBe("plain");
  });

  it("S6: the lead's 'stay filtered' holds until the lead calls totality after it", () => {
    const { site, c2 } = world();
    known(site);
    site.order({ type: "call", call: "stay filtered" }, c2 - 100 * S);
    expect(lineOf(sceneOf(site, c2 - 15 * S), "west/filter-off").mode).toBe("stay");
    expect(sceneOf(site, c2 - 15 * S).picture.askTotality).toEqual([]);
    site.order({ type: "call", call: "totality" }, c2 + 1 * S);
    expect(lineOf(sceneOf(site, c2 + 2 * S), "west/filter-off").mode).toBe("plain");
  });
});
