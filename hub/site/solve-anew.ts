/**
 * A site that was planned with an earlier program is solved anew when the hub starts: what it gets
 * is kept in the log beside its plan, and an earlier solver's Sun and bounds would else stay with
 * it until somebody saves the plan. The plan stays as it is; contacts that move are a revised
 * prediction (S5).
 */
import type { Circumstances } from "../../shared/eclipse/circumstances-types.ts";
import type { Site } from "../../shared/plan/model/plan.ts";
import type { SiteKeeper } from "./site-keeper.ts";

type Solve = (eclipse: string, site: Site, limb: boolean) => Circumstances | undefined;

/** Resolves to whether it was needed. Not while a practice is on, which hangs on its contacts. */
export async function solveAnew(keeper: SiteKeeper, solve: Solve): Promise<boolean> {
  const { plan, circumstances, practice, realRunId } = keeper.state;
  const current = circumstances === null || circumstances.lengthBoundS !== undefined;
  if (current || practice || !plan.site || !plan.eclipse) return false;
  const fresh = solve(plan.eclipse, plan.site, plan.limb);
  if (!fresh) return false;
  const { group, eclipse, site, limb } = plan;
  const part = { group, eclipse, site, limb };
  // The plan stays as it is, and with it its revision: nobody's edit is stale by this.
  const payload = { revision: plan.revision, part, circumstances: fresh, placeChanged: false, by: "hub" };
  return (await keeper.note("sitePlanned", payload, realRunId)).ok;
}
