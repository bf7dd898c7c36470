/**
 * The plan over HTTP. As a whole, for programs: read with an ETag, put back with If-Match. And in
 * parts, each with an ETag of its own, so that who edits one rig does not stand in the way of who
 * edits another: the site's part, and every rig. What a save did besides what was asked is told in
 * its body.
 */
import { createHash } from "node:crypto";
import * as v from "valibot";
import { ownValue } from "../../shared/fields/own-key.ts";
import { assessPlan } from "../../shared/plan/assess/assess-plan.ts";
import { localEclipse } from "../../shared/plan/local-eclipse.ts";
import { type Plan, PlanDraftSchema, RigDraftSchema, SitePartSchema } from "../../shared/plan/model/plan.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import { AcknowledgedSchema } from "../../shared/run/orders/commands.ts";
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import { newId } from "../new-id.ts";
import { PlanAnswer, RigPartAnswer, SavedPartAnswer, SavedPlanAnswer, SitePartAnswer } from "./answers.ts";
import { AssessmentAnswer } from "./assessment-answer.ts";
import type { HubParts } from "./hub-parts.ts";
import { parsePlan } from "./parse-plan.ts";
import { badMatch, etag, revisionAsked } from "./part-revision.ts";
import { type Call, type Reply, type Route, refusalReply, route } from "./route.ts";

type AnyCall = Call<unknown, unknown>;

export function planRoutes({ keeper, solver, queue }: HubParts): Route[] {
  // The id is our own and comes once: what it stands for need not be remembered whole.
  const order = (call: AnyCall, body: Order, id = newId()) =>
    keeper.order(call.caller.sender, call.caller.actor, id, body, id);
  const plan = (): Reply => ({
    body: keeper.state.plan,
    headers: { ETag: etag("plan", keeper.state.plan.revision) },
  });
  const siteRevision = () => keeper.state.planParts.site?.revision ?? 0;
  const rigRevision = (id: string) => ownValue(keeper.state.planParts.rigs, id)?.revision ?? 0;
  /** Gives an order on a part and answers with the part's new ETag. */
  const savePart = async (call: AnyCall, what: string, revision: () => number, body: Order) => {
    const answer = await order(call, body);
    const headers = { ETag: etag(what, revision()) };
    if (!answer.ok) return refusalReply(answer.refusal, headers);
    return { headers, body: { revision: revision(), ...(answer.notes && { notes: answer.notes }) } };
  };
  return [
    route({
      method: "get",
      path: "/api/plan",
      access: "lead",
      summary: "The plan, with its revision as ETag.",
      answers: PlanAnswer,
      handle: plan,
    }),
    route({
      method: "put",
      path: "/api/plan",
      access: "lead",
      summary:
        "Saves the plan in place of the one before: what that held must be named. Rigs without cues get the default list; variants and edits that are left out stay.",
      headers: {
        "If-Match":
          "The ETag that GET /api/plan gave, or * for whatever is there; without it `revision` of the body counts.",
      },
      body: PlanDraftSchema,
      parseBody: parsePlan,
      answers: SavedPlanAnswer,
      handle: async (call) => {
        const left = leftOut(keeper.state.plan, call.request.body);
        if (left) return refusalReply(left);
        const ifRevision = revisionAsked(call, "plan", keeper.state.plan.revision, call.body.revision);
        if (ifRevision === undefined) return refusalReply(badMatch("the plan's ETag"));
        const answer = await order(call, { type: "savePlan", draft: call.body, ifRevision });
        const saved = plan();
        if (!answer.ok) return refusalReply(answer.refusal, saved.headers);
        return answer.notes ? { ...saved, body: { ...keeper.state.plan, notes: answer.notes } } : saved;
      },
    }),
    route({
      method: "post",
      path: "/api/plan/check",
      access: "lead",
      summary:
        "What would come of a plan if it were saved: findings of the safety rules, hands, budgets of each rig. Nothing is saved.",
      body: PlanDraftSchema,
      parseBody: parsePlan,
      answers: AssessmentAnswer,
      handle: async ({ body, request }) => {
        const { plan: previous, circumstances } = keeper.state;
        const { eclipse, site, limb } = body;
        if (eclipse !== null && !solver.elements(eclipse))
          return refusalReply(
            refusal("bad-input", `eclipse ${eclipse} is not in the table`, { field: "eclipse" }),
          );
        const key = createHash("sha256")
          .update(JSON.stringify([previous.revision, body]))
          .digest("hex");
        const check = function* () {
          const found = eclipse !== null && site ? yield* solver.forSiteSteps(eclipse, site, limb) : null;
          return yield* assessPlan(body, previous, localEclipse(found ?? null), localEclipse(circumstances));
        };
        // Of hundreds of kB, and seldom asked twice.
        const done = await queue.work(request.ip ?? "", `plan check ${key}`, check, { keep: false });
        if (!done)
          return refusalReply(
            refusal("too-many", "too many checks wait; ask again when the first are answered"),
          );
        return { body: done.result };
      },
    }),
    route({
      method: "get",
      path: "/api/plan/site",
      access: "lead",
      summary: "What of the plan is of no rig, with a revision of its own as ETag.",
      answers: SitePartAnswer,
      handle: () => {
        const { group, eclipse, site, limb } = keeper.state.plan;
        return { body: { group, eclipse, site, limb }, headers: { ETag: etag("site", siteRevision()) } };
      },
    }),
    route({
      method: "put",
      path: "/api/plan/site",
      access: "lead",
      summary: "Saves the site's part; where the place changed, every rig is settled anew.",
      headers: { "If-Match": "The ETag that GET /api/plan/site gave, or * for whatever is there." },
      body: SitePartSchema,
      answers: SavedPartAnswer,
      handle: async (call) => {
        const ifRevision = revisionAsked(call, "site", siteRevision());
        if (ifRevision === undefined) return refusalReply(badMatch("the ETag of the site's part"));
        return savePart(call, "site", siteRevision, { type: "saveSite", part: call.body, ifRevision });
      },
    }),
    route({
      method: "get",
      path: "/api/plan/rigs/:id",
      access: "lead",
      summary: "One rig of the plan, with a revision of its own as ETag.",
      answers: RigPartAnswer,
      handle: ({ params }) => {
        const id = params.id ?? "";
        const { plan } = keeper.state;
        const rig = plan.rigs.find((one) => one.id === id);
        if (!rig) return refusalReply(noRig(id));
        const acknowledged = plan.acknowledged.filter(({ rigId }) => rigId === id);
        const names = acknowledged.map(({ rule, by }) => ({ rule, by }));
        return { body: { rig, acknowledged: names }, headers: { ETag: etag("rig", rigRevision(id)) } };
      },
    }),
    route({
      method: "put",
      path: "/api/plan/rigs/:id",
      access: "lead",
      summary: 'Saves one rig, known or new (If-Match: "rig-0"). Names that are left out stay.',
      headers: { "If-Match": "The ETag that GET gave for this rig, or * for whatever is there." },
      body: v.strictObject({ rig: RigDraftSchema, acknowledged: AcknowledgedSchema }),
      answers: SavedPartAnswer,
      handle: async (call) => {
        const id = call.params.id ?? "";
        const { rig, acknowledged } = call.body;
        if (rig.id !== id)
          return refusalReply(refusal("bad-input", "rig.id is not that of the address", { field: "rig.id" }));
        const ifRevision = revisionAsked(call, "rig", rigRevision(id));
        if (ifRevision === undefined) return refusalReply(badMatch("the rig's ETag"));
        const names = acknowledged && { acknowledged };
        return savePart(call, "rig", () => rigRevision(id), { type: "saveRig", rig, ...names, ifRevision });
      },
    }),
    route({
      method: "delete",
      path: "/api/plan/rigs/:id",
      access: "lead",
      summary: "Takes a rig out of the plan.",
      headers: { "If-Match": "The ETag that GET gave for this rig, or * for whatever is there." },
      status: 204,
      handle: async (call) => {
        const id = call.params.id ?? "";
        if (!keeper.state.plan.rigs.some((rig) => rig.id === id)) return refusalReply(noRig(id));
        const ifRevision = revisionAsked(call, "rig", rigRevision(id));
        if (ifRevision === undefined) return refusalReply(badMatch("the rig's ETag"));
        const answer = await order(call, { type: "removeRig", rigId: id, ifRevision });
        return answer.ok ? {} : refusalReply(answer.refusal, { ETag: etag("rig", rigRevision(id)) });
      },
    }),
  ];
}

function noRig(id: string): Refusal {
  return refusal("not-found", `no rig ${id} in the plan`, { field: "id" });
}

/**
 * The body replaces the whole plan. What the plan holds and the body does not name is most likely
 * forgotten (an empty body, a part of the plan), so it is asked for and not thrown away.
 */
function leftOut(plan: Plan, body: unknown): Refusal | null {
  const given = Object.keys(body as object);
  if (given.length === 0) return refusal("bad-input", "body must hold the plan", { field: "body" });
  const held = { eclipse: plan.eclipse !== null, site: plan.site !== null, rigs: plan.rigs.length > 0 };
  for (const [field, holds] of Object.entries(held)) {
    if (!holds || given.includes(field)) continue;
    const none = field === "rigs" ? "an empty list" : "null";
    return refusal("bad-input", `${field} is missing: the body replaces the plan; ${none} takes it out`, {
      field,
    });
  }
  return null;
}
