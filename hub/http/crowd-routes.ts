/** The crowd, for leads: how the board goes out, how many look, and who may show it in a frame. */
import * as v from "valibot";
import { EMBED_HOST, EmbedSchema } from "../../shared/protocol/board-document.ts";
import { EMBED_SETTING, embedHosts } from "../feeds/embed-hosts.ts";
import { CrowdAnswer } from "./answers.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, route } from "./route.ts";

/** Setting: where the public finds the board, when that is not this hub. */
const ADDRESS_SETTING = "boardAddress";
/** An origin, as EMBED_HOST. */
const AddressSchema = v.pipe(
  v.string("must be text"),
  v.regex(EMBED_HOST, "must be like https://example.org, without a path"),
);

export function crowdRoutes({ log, boards, boardKey, relays, publisher }: HubParts): Route[] {
  const answer = () => ({
    body: {
      key: boardKey,
      publish: publisher?.state() ?? null,
      ...relays.sum(),
      embed: [...embedHosts(log)],
      address: v.is(AddressSchema, log.getSetting(ADDRESS_SETTING)) ? log.getSetting(ADDRESS_SETTING) : null,
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
      path: "/api/crowd",
      access: "lead",
      summary:
        "Where the public finds the board, and hosts whose pages may show it in a frame; none: nobody may.",
      body: v.strictObject({ embed: EmbedSchema, address: v.nullable(AddressSchema) }),
      answers: CrowdAnswer,
      handle: ({ body }) => {
        log.setSetting(EMBED_SETTING, body.embed);
        log.setSetting(ADDRESS_SETTING, body.address ?? undefined);
        boards.look();
        return answer();
      },
    }),
  ];
}
