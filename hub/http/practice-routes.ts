/** Practice runs and programmes: started, looked at, disturbed, ended. */
import * as v from "valibot";
import type { PracticeStarted } from "../../shared/run/events.ts";
import { FaultSchema, PracticeSchema, ProgrammeSchema } from "../../shared/run/orders/practice-programme.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { FAULTS } from "../../shared/run/vocabulary.ts";
import type { LoggedEvent } from "../log/event-log.ts";
import { newId } from "../new-id.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, refusalReply, route } from "./route.ts";
import { said } from "./said.ts";

const StatusAnswer = v.object({
  runId: said(v.nullable(v.string()), "Null when no practice run is on"),
  programme: v.nullable(ProgrammeSchema),
  nextAtUtcMs: said(v.nullable(v.number()), "In a pause: when the next repeat begins"),
  next: v.nullable(v.object({ part: v.number(), repeats: v.number() })),
  lastRunId: said(
    v.nullable(v.string()),
    "The practice that was on last, as far as the hub knows since it was started",
  ),
  played: said(v.array(v.string()), "Rigs that a simulated operator plays now"),
  faults: v.array(
    v.object({
      kind: v.picklist(FAULTS),
      rigIds: v.nullable(v.array(v.string())),
      atUtcMs: v.number(),
      untilUtcMs: v.number(),
      on: v.boolean(),
    }),
  ),
});

export function practiceRoutes({ keeper, log, practice }: HubParts): Route[] {
  return [
    route({
      method: "post",
      path: "/api/practice",
      access: "lead",
      summary: "Starts a practice run at an offset from a contact, or a whole programme of them.",
      status: 201,
      body: PracticeSchema,
      answers: v.object({ runId: v.string(), endsAtUtcMs: v.number() }),
      handle: async ({ caller, body }) => {
        const order = { type: "startPractice", ...body } as const;
        const answer = await keeper.order(caller.sender, caller.actor, newId(), order);
        if (!answer.ok) return refusalReply(answer.refusal);
        // Not the one that is on by now: another lead may have started theirs in the same moment.
        const [event] = [...log.read({ afterSeq: answer.seq - 1, limit: 1 })] as [LoggedEvent];
        const { runId, endsAtUtcMs } = event.payload as PracticeStarted;
        return { body: { runId, endsAtUtcMs } };
      },
    }),
    route({
      method: "get",
      path: "/api/practice",
      access: "lead",
      summary: "What is being practised: programme, who is played, faults, the next repeat.",
      answers: StatusAnswer,
      handle: () => ({ body: practice.status() }),
    }),
    route({
      method: "delete",
      path: "/api/practice",
      access: "lead",
      summary: "Ends the practice run and its programme.",
      status: 204,
      handle: async ({ caller }) => {
        if (practice.stop()) return {};
        const answer = await keeper.order(caller.sender, caller.actor, newId(), { type: "endPractice" });
        return answer.ok ? {} : refusalReply(answer.refusal);
      },
    }),
    route({
      method: "post",
      path: "/api/practice/faults",
      access: "lead",
      summary: "Throws a fault into the practice run that is on.",
      status: 201,
      body: FaultSchema,
      answers: StatusAnswer,
      handle: ({ caller, body }) => {
        const refused = practice.throwIn(body, caller.actor);
        return refused ? refusalReply(refused) : { body: practice.status() };
      },
    }),
    route({
      method: "post",
      path: "/api/practice/faults/over",
      access: "lead",
      summary: "Ends faults of a kind before their time; a clock that has stepped is answered so.",
      body: v.strictObject({ kind: FaultSchema.entries.kind }),
      answers: StatusAnswer,
      handle: ({ body }) => {
        const refused = practice.endFault(body.kind);
        return refused ? refusalReply(refused) : { body: practice.status() };
      },
    }),
    route({
      method: "post",
      path: "/api/practice/next",
      access: "lead",
      summary: "Ends the pause: the next repeat begins now.",
      status: 204,
      handle: () =>
        practice.hurry()
          ? {}
          : refusalReply(refusal("no-practice", "no repeat is waiting for its pause to end")),
    }),
  ];
}
