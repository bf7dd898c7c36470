/** A rig reporting over HTTP with its link's token: for agents and scripts. */
import { unsaidInstrument } from "../../shared/run/facts/report-schema.ts";
import { HttpReportSchema } from "../../shared/run/orders/commands.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { tooMany } from "../sockets/message-guard.ts";
import { TakenAnswer } from "./answers.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Reply, type Route, refusalReply, route } from "./route.ts";

export function rigRoutes({ keeper, limits }: HubParts): Route[] {
  return [
    route({
      method: "post",
      path: "/api/rigs/:id/reports",
      access: "rig",
      summary:
        "What a rig says of itself at an instant. A repeat of the same id answers the same and is logged once. 429: wait Retry-After seconds, then send it again.",
      before: (caller, params) => {
        const waitMs = limits.report(params.id ?? "", caller.revoked ?? false);
        return waitMs === 0 ? undefined : waitReply(waitMs);
      },
      body: HttpReportSchema,
      answers: TakenAnswer,
      handle: async ({ body, params, caller }) => {
        const { id, atUtcMs, runId, ...report } = body;
        if (Object.values(report).every((value) => value === undefined)) {
          return refusalReply(
            refusal("bad-input", "the report must say something besides id and atUtcMs", { field: "body" }),
          );
        }
        const unsaid = unsaidInstrument(report);
        if (unsaid)
          return refusalReply(refusal("bad-input", `instrument ${unsaid}`, { field: "instrument" }));
        const rigId = params.id ?? "";
        const answer = await keeper.fact(
          {
            sender: caller.sender,
            actor: caller.actor,
            deviceId: `http:${rigId}`,
            linkRevoked: caller.revoked ?? false,
          },
          id,
          { v: 1, rigId, runId, deviceSeq: 0, observedUtcMs: atUtcMs, boundMs: null, report },
        );
        return answer.ok ? { body: answer } : refusalReply(answer.refusal);
      },
    }),
  ];
}

/** Wait, and send the same again: nothing was done. */
function waitReply(waitMs: number): Reply {
  return refusalReply(tooMany(waitMs), { "Retry-After": String(Math.ceil(waitMs / 1000)) });
}
