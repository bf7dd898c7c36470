/** What a signed-in lead may do beside the plan: orders, links, the log, the site as a file. */
import * as v from "valibot";
import { ownValue } from "../../shared/fields/own-key.ts";
import { OrderMessageSchema } from "../../shared/protocol/messages.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { newId } from "../new-id.ts";
import { LogAnswer, RunAnswer, TakenAnswer } from "./answers.ts";
import type { HubParts } from "./hub-parts.ts";
import { joinOrigin } from "./join-origin.ts";
import { logCsv, logJson } from "./log-export.ts";
import { LogQuery } from "./queries.ts";
import { type Call, type Route, refusalReply, route } from "./route.ts";
import { runJson } from "./run-json.ts";
import { said } from "./said.ts";

const LinkAnswer = v.object({ url: v.string(), token: v.string() });

export function leadRoutes(parts: HubParts): Route[] {
  const { keeper, keys, log } = parts;
  const order = (call: Call<unknown, unknown>, body: Parameters<typeof keeper.order>[3], id = newId()) =>
    keeper.order(call.caller.sender, call.caller.actor, id, body);
  return [
    route({
      method: "get",
      path: "/api/run",
      access: "lead",
      summary: "The run that is on: every rig, alerts, contacts.",
      answers: RunAnswer,
      handle: () => ({ body: runJson(parts) }),
    }),
    route({
      method: "get",
      path: "/api/alerts/rate",
      access: "lead",
      summary:
        "How many alerts there were to read in the last ten minutes, as alarm systems are judged: one cause at many rigs at once is one.",
      answers: v.object({ lastTenMinutes: said(v.number(), "About two are the most that can be managed") }),
      handle: () => ({ body: { lastTenMinutes: parts.lately.count() } }),
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
