/** The sky of a save: computed only where it is another, and in steps. */
import { afterEach, beforeEach, expect, it } from "vitest";
import type { Site } from "../../../shared/plan/model/plan.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let token: string;
let solved: string[];

beforeEach(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  solved = [];
  const { solver } = hub.parts;
  const [steps, atOnce] = [solver.forSiteSteps.bind(solver), solver.forSite.bind(solver)];
  solver.forSiteSteps = (eclipse: string, site: Site, limb: boolean) => {
    solved.push("in steps");
    return steps(eclipse, site, limb);
  };
  solver.forSite = (eclipse, site, limb) => {
    solved.push("at once");
    return atOnce(eclipse, site, limb);
  };
});
afterEach(() => hub.stop());

const put = (plan: unknown) => hub.call("PUT", "/api/plan", plan, token, { "If-Match": "*" });

it("is computed once for a place, in steps, and not again for what leaves place, eclipse and limb", async () => {
  const first = await put(LUXOR_PLAN);
  expect(first.status).toBe(200);
  expect(solved).toEqual(["in steps"]);
  const { circumstances } = hub.parts.keeper.state;
  const renamed = { ...first.body, group: "Another name", site: { ...first.body.site, name: "Same field" } };
  renamed.rigs[0].cues[3].offsetS += 1;
  expect((await put(renamed)).status).toBe(200);
  expect(solved).toEqual(["in steps"]);
  expect(hub.parts.keeper.state.circumstances).toEqual(circumstances);
});

it.each([
  ["the place", { site: { ...LUXOR_PLAN.site, latDeg: 25.6 } }],
  ["its height", { site: { ...LUXOR_PLAN.site, heightM: 90 } }],
  ["how well the place is known", { site: { ...LUXOR_PLAN.site, placeBoundM: 500 } }],
  ["the skyline", { site: { ...LUXOR_PLAN.site, skyline: [[270, 3]] } }],
  ["the limb", { limb: false }],
  ["the eclipse", { eclipse: "2028-07-22" }],
])("is computed again when %s changes", async (_what, change) => {
  await put(LUXOR_PLAN);
  const saved = await put({ ...LUXOR_PLAN, ...change });
  expect(saved.status).toBe(200);
  expect(solved).toEqual(["in steps", "in steps"]);
  const { plan, circumstances } = hub.parts.keeper.state;
  const { latDeg, lonDeg, heightM } = plan.site as Site;
  expect(circumstances?.eclipse).toBe(plan.eclipse);
  const { placeBoundM } = plan.site as Site;
  const options = { limb: plan.limb, placeBoundM };
  const fresh = hub.parts.solver.circumstances(plan.eclipse ?? "", { latDeg, lonDeg, heightM }, options);
  expect(circumstances?.contacts).toEqual(fresh?.contacts);
});

it("comes back from what was kept when a lead goes back to the place before", async () => {
  await put(LUXOR_PLAN);
  await put({ ...LUXOR_PLAN, site: { ...LUXOR_PLAN.site, latDeg: 25.6 } });
  await put(LUXOR_PLAN);
  expect(solved).toEqual(["in steps", "in steps"]);
});
