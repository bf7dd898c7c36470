/** What a signed-in lead may do: the plan, practice, orders, links, the log, the site as a file. */
import * as v from "valibot";
import { ownValue } from "../../shared/fields/own-key.ts";
import { type Plan, PlanDraftSchema } from "../../shared/plan/model/plan.ts";
import { type Answer, OrderMessageSchema } from "../../shared/protocol/messages.ts";
import { PracticeSchema } from "../../shared/run/orders/commands.ts";
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import { newId } from "../new-id.ts";
import { LogAnswer, PlanAnswer, RunAnswer, SavedPlanAnswer, TakenAnswer } from "./answers.ts";
import type { HubParts } from "./hub-parts.ts";
import { joinOrigin } from "./join-origin.ts";
import { logCsv, logJson } from "./log-export.ts";
import { LogQuery } from "./queries.ts";
import { type Call, type Reply, type Route, refusalReply, route } from "./route.ts";
import { runJson } from "./run-json.ts";

const LinkAnswer = v.object({ url: v.string(), token: v.string() });

export function leadRoutes(parts: HubParts): Route[] {
  const { keeper, keys, clock, log } = parts;
  const order = (call: Call<unknown, unknown>, body: Parameters<typeof keeper.order>[3], id = newId()) =>
    keeper.order(call.caller.sender, call.caller.actor, id, body);
  const plan = (): Reply => ({
    body: keeper.state.plan,
    headers: { ETag: etag(keeper.state.plan.revision) },
  });
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
        "Saves the plan in place of the one before: what that held must be named. Rigs without cues get the default list.",
      headers: {
        "If-Match":
          "The ETag that GET /api/plan gave, or * for whatever is there; without it `revision` of the body counts.",
      },
      body: PlanDraftSchema,
      answers: SavedPlanAnswer,
      handle: async (call) => {
        const left = leftOut(keeper.state.plan, call.request.body);
        if (left) return refusalReply(left);
        const match = call.request.get("If-Match");
        const { revision } = keeper.state.plan;
        const ifRevision = match ? revisionOf(match, revision) : call.body.revision;
        if (ifRevision === undefined) {
          return refusalReply(
            refusal("bad-input", "If-Match must be the plan's ETag", { field: "If-Match" }),
          );
        }
        const answer = await order(call, { type: "savePlan", draft: call.body, ifRevision });
        if (!answer.ok) return refusalReply(answer.refusal, { ETag: etag(keeper.state.plan.revision) });
        const saved = plan();
        return answer.notes ? { ...saved, body: { ...keeper.state.plan, notes: answer.notes } } : saved;
      },
    }),
    route({
      method: "post",
      path: "/api/practice",
      access: "lead",
      summary: "Starts a practice run at an offset from a contact.",
      status: 201,
      body: PracticeSchema,
      answers: v.object({ runId: v.string(), endsAtUtcMs: v.number() }),
      handle: async (call) => {
        const answer = await order(call, { type: "startPractice", ...call.body });
        if (!answer.ok) return refusalReply(answer.refusal);
        const practice = practiceAt(keeper.state, clock.now());
        return { body: { runId: practice?.runId, endsAtUtcMs: practice?.endsAtUtcMs } };
      },
    }),
    route({
      method: "delete",
      path: "/api/practice",
      access: "lead",
      summary: "Ends the practice run.",
      status: 204,
      handle: async (call) => done(await order(call, { type: "endPractice" })),
    }),
    route({
      method: "get",
      path: "/api/run",
      access: "lead",
      summary: "The run that is on: every rig, alerts, contacts.",
      answers: RunAnswer,
      handle: () => ({ body: runJson(parts) }),
    }),
    route({
      method: "post",
      path: "/api/orders",
      access: "lead",
      summary:
        "Gives any order of a lead: calls, cover, shift of a contact, message. The same id is done once.",
      body: OrderMessageSchema,
      answers: TakenAnswer,
      handle: async (call) => {
        const answer = await order(call, call.body.order, call.body.id);
        return answer.ok ? { body: answer } : refusalReply(answer.refusal);
      },
    }),
    route({
      method: "get",
      path: "/api/log.json",
      access: "lead",
      summary: "Everything that was logged, over all runs or one.",
      query: LogQuery,
      answers: LogAnswer,
      handle: ({ query }) => ({ send: (response) => logJson(log, query, response) }),
    }),
    route({
      method: "get",
      path: "/api/log.csv",
      access: "lead",
      summary: "The same as a table; no cell can act as a formula.",
      query: LogQuery,
      answersAs: "text/csv",
      handle: ({ query }) => ({ send: (response) => logCsv(log, query, response) }),
    }),
    route({
      method: "get",
      path: "/api/rigs/:id/link",
      access: "lead",
      summary: "The address that joins a phone to a rig; the token is in the fragment.",
      answers: LinkAnswer,
      handle: ({ params, request }) => {
        const id = params.id ?? "";
        const { state } = keeper;
        if (!state.plan.rigs.some((rig) => rig.id === id)) {
          return refusalReply(refusal("not-found", `no rig ${id} in the plan`, { field: "id" }));
        }
        const token = keys.rigToken(id, ownValue(state.generations, id) ?? 0);
        const origin = joinOrigin(parts, request.protocol, request.get("host"));
        return { body: { url: `${origin}/rig#${id}.${token}`, token } };
      },
    }),
    route({
      method: "post",
      path: "/api/rigs/:id/link",
      access: "lead",
      summary: "Revokes every link of a rig made so far and gives a new one.",
      answers: LinkAnswer,
      handle: async (call) => {
        const id = call.params.id ?? "";
        const answer = await order(call, { type: "revokeLink", rigId: id });
        if (!answer.ok) return refusalReply(answer.refusal);
        const token = keys.rigToken(id, ownValue(keeper.state.generations, id) ?? 0);
        const origin = joinOrigin(parts, call.request.protocol, call.request.get("host"));
        return { body: { url: `${origin}/rig#${id}.${token}`, token } };
      },
    }),
  ];
}

function done(answer: Answer): Reply {
  return answer.ok ? {} : refusalReply(answer.refusal);
}

function etag(revision: number): string {
  return `"plan-${revision}"`;
}

/** RFC 9110, 13.1.1: "*" stands for whatever is there. */
function revisionOf(match: string, current: number): number | undefined {
  if (match.trim() === "*") return current;
  const found = /^(?:W\/)?"plan-(\d+)"$/.exec(match.trim());
  return found ? Number(found[1]) : undefined;
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
