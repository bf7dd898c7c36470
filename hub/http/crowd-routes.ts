/** The crowd, for leads: how the board goes out, how many look, and who may show it in a frame. */
import * as v from "valibot";
import { EmbedSchema } from "../../shared/protocol/board-document.ts";
import { EMBED_SETTING, embedHosts } from "../feeds/embed-hosts.ts";
import { CrowdAnswer } from "./answers.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, route } from "./route.ts";

export function crowdRoutes({ log, boards, boardKey, relays, publisher }: HubParts): Route[] {
  const answer = () => ({
    body: {
      key: boardKey,
      publish: publisher?.state() ?? null,
      ...relays.sum(),
      embed: [...embedHosts(log)],
    },
  });
  return [
    route({
      method: "get",
      path: "/api/crowd",
      access: "lead",
      summary: "How what boards show goes out to many: the broker, the relays, how many boards look.",
      answers: CrowdAnswer,
      handle: answer,
    }),
    route({
      method: "put",
      path: "/api/crowd/embed",
      access: "lead",
      summary: "Hosts whose pages may show the board in a frame; none: nobody may.",
      body: v.strictObject({ embed: EmbedSchema }),
      answers: CrowdAnswer,
      handle: ({ body }) => {
        log.setSetting(EMBED_SETTING, body.embed);
        boards.look();
        return answer();
      },
    }),
  ];
}
