/** Marshals: their link, their reports of the crowd, the leads' answers and words to them. */
import * as v from "valibot";
import {
  MarshalAnswerSchema,
  MarshalPageSchema,
  MarshalReportSchema,
  MarshalWordsSchema,
} from "../../shared/protocol/marshals.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import { MarshalReportAnswer, MarshalsAnswer, MarshalsDeskAnswer } from "./answers.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Reply, type Route, refusalReply, route } from "./route.ts";

const LinkAnswer = v.object({ url: v.string(), token: v.string() });

export function marshalRoutes({ marshals, keys, boardKey, origins, keeper, clock }: HubParts): Route[] {
  const desk = (): Reply => ({ body: marshals.desk() });
  const link = (): Reply => {
    const token = keys.marshalToken(marshals.generation);
    return { body: { url: `${origins()[0] ?? ""}/marshal#token=${token}&key=${boardKey}`, token } };
  };
  return [
    route({
      method: "get",
      path: "/api/marshals/link",
      access: "lead",
      summary: "The link by which marshals come in; one for all of them.",
      answers: LinkAnswer,
      handle: link,
    }),
    route({
      method: "post",
      path: "/api/marshals/link",
      access: "lead",
      summary: "A new link; every one made before ends.",
      body: v.strictObject({}),
      answers: LinkAnswer,
      handle: () => {
        marshals.renewLink();
        return link();
      },
    }),
    route({
      method: "get",
      path: "/api/marshals",
      access: "marshal",
      summary: "What marshals have reported, what became of it, and what leads tell them; newest first.",
      query: MarshalPageSchema,
      answers: MarshalsAnswer,
      handle: ({ query }) => {
        if (query.page !== undefined) marshals.shown(query.page);
        return { body: marshals.told() };
      },
    }),
    route({
      method: "post",
      path: "/api/marshals/reports",
      access: "marshal",
      summary: "A marshal reports a matter of the crowd. The same id again is the same report.",
      body: MarshalReportSchema,
      answers: MarshalReportAnswer,
      handle: ({ body }) => {
        const made = marshals.report(body, practiceAt(keeper.state, clock.now()) !== null);
        return "code" in made ? refusalReply(made) : { body: made };
      },
    }),
    route({
      method: "get",
      path: "/api/marshals/desk",
      access: "lead",
      summary: "The same for leads, with how many marshals' pages have shown each word.",
      answers: MarshalsDeskAnswer,
      handle: desk,
    }),
    route({
      method: "post",
      path: "/api/marshals/reports/:id/answer",
      access: "lead",
      summary: "A lead answers a marshal: on it, or done.",
      body: MarshalAnswerSchema,
      answers: MarshalReportAnswer,
      handle: ({ body, params }) => {
        const answered = marshals.answer(params.id ?? "", body.answer);
        return answered
          ? { body: answered }
          : refusalReply(refusal("not-found", "there is no such report", { field: "id" }));
      },
    }),
    route({
      method: "post",
      path: "/api/marshals/messages",
      access: "lead",
      summary: "A lead tells all marshals something.",
      body: MarshalWordsSchema,
      answers: MarshalsDeskAnswer,
      handle: ({ body }) => {
        marshals.tell(body);
        return desk();
      },
    }),
  ];
}
