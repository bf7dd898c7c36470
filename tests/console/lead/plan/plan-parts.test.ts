/** What the lead's editor sends for a change: the parts that differ, each with its own ETag. */
import { describe, expect, it } from "vitest";
import { partRequests } from "../../../../console/lead/plan/plan-parts.ts";
import type { Plan } from "../../../../shared/plan/model/plan.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";

const NOW = Date.UTC(2027, 6, 20);
const { plan, planParts } = SiteWorld.planned({}, NOW).state;
const asked = (change: Partial<Plan>) => partRequests({ plan, planParts }, { ...plan, ...change });

describe("a changed plan", () => {
  it("asks for nothing when nothing differs", () => {
    expect(asked({})).toEqual([]);
  });

  it("asks for one rig when one cue differs, and for no other", () => {
    const rigs = structuredClone(plan.rigs);
    const cue = rigs[0]?.cues[3];
    if (cue) cue.offsetS += 1;
    expect(asked({ rigs })).toEqual([
      {
        method: "PUT",
        path: "/api/plan/rigs/west",
        etag: '"rig-1"',
        body: { rig: rigs[0], acknowledged: [] },
      },
    ]);
  });

  it("asks for the site, rigs that are new and rigs that are gone, each by its own revision", () => {
    const added = { ...structuredClone(plan.rigs[0]), id: "new", name: "New one" } as Plan["rigs"][number];
    const requests = asked({ group: "Others", rigs: [...plan.rigs.slice(1), added] });
    expect(requests.map(({ method, path, etag }) => [method, path, etag])).toEqual([
      ["PUT", "/api/plan/site", '"site-1"'],
      ["DELETE", "/api/plan/rigs/west", '"rig-1"'],
      ["PUT", "/api/plan/rigs/new", '"rig-0"'],
    ]);
  });

  it("asks for a rig whose rule was set aside by name, with the names of that rig alone", () => {
    const acknowledged = [
      { rule: "S4", rigId: "west", by: "Ada" },
      { rule: "S4", rigId: "wide", by: "Ben" },
    ];
    const requests = asked({ acknowledged });
    expect(requests.map(({ path }) => path)).toEqual(["/api/plan/rigs/west", "/api/plan/rigs/wide"]);
    expect(requests[0]?.body).toMatchObject({ acknowledged: [{ rule: "S4", by: "Ada" }] });
  });
});
