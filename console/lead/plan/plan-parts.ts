/**
 * A changed plan taken apart into the requests that save it: one for each part that differs from
 * what the lead edited, with the ETag of that part. So two leads at different rigs do not collide.
 */
import { ownValue } from "../../../shared/fields/own-key.ts";
import { same } from "../../../shared/plan/edits/same.ts";
import type { Plan, PlanDraft, RigDraft } from "../../../shared/plan/model/plan.ts";
import type { SiteState } from "../../../shared/run/state.ts";

/** The plan as a lead began to edit it, and the revisions of its parts. */
export type PlanRead = Pick<SiteState, "plan" | "planParts">;

export interface PartRequest {
  method: "PUT" | "DELETE";
  path: string;
  etag: string;
  body?: unknown;
}

export function partRequests({ plan, planParts }: PlanRead, draft: PlanDraft): PartRequest[] {
  const requests: PartRequest[] = [];
  const part = sitePartOf(draft);
  if (!same(part, sitePartOf(plan))) {
    const etag = `"site-${planParts.site?.revision ?? 0}"`;
    requests.push({ method: "PUT", path: "/api/plan/site", etag, body: part });
  }
  const ofRig = (id: string) => ({
    path: `/api/plan/rigs/${encodeURIComponent(id)}`,
    etag: `"rig-${ownValue(planParts.rigs, id)?.revision ?? 0}"`,
  });
  for (const { id } of plan.rigs)
    if (!draft.rigs.some((rig) => rig.id === id)) requests.push({ method: "DELETE", ...ofRig(id) });
  for (const rig of draft.rigs) {
    const before = plan.rigs.find(({ id }) => id === rig.id);
    const acknowledged = namesOf(draft, rig);
    if (before && same(rig, before) && same(acknowledged, namesOf(plan, rig))) continue;
    requests.push({ method: "PUT", ...ofRig(rig.id), body: { rig, acknowledged } });
  }
  return requests;
}

function sitePartOf({ group, eclipse, site, limb }: Plan | PlanDraft) {
  return { group, eclipse, site, limb };
}

function namesOf({ acknowledged }: Pick<Plan, "acknowledged">, { id }: Pick<RigDraft, "id">) {
  return acknowledged.filter(({ rigId }) => rigId === id).map(({ rule, by }) => ({ rule, by }));
}
