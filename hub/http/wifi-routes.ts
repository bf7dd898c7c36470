/**
 * The site's Wi-Fi for the join sheet. It is a setting of the site, not an event: it goes with the
 * site's file, but stands in no log, no plan and on no board.
 */
import * as v from "valibot";
import { type Wifi, WifiSchema } from "../../shared/protocol/wifi.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, route } from "./route.ts";

const KEY = "wifi";
const WifiAnswer = v.object({ wifi: v.nullable(WifiSchema) });

export function wifiRoutes({ log }: Pick<HubParts, "log">): Route[] {
  /** Of a setting from elsewhere that is no Wi-Fi nothing is shown. */
  const kept = (): Wifi | null => {
    const read = v.safeParse(WifiSchema, log.getSetting(KEY));
    return read.success ? read.output : null;
  };
  const answer = () => ({ body: { wifi: kept() } });
  return [
    route({
      method: "get",
      path: "/api/wifi",
      access: "lead",
      summary: "The site's Wi-Fi as a lead typed it, for the join sheet; null where none has.",
      answers: WifiAnswer,
      handle: answer,
    }),
    route({
      method: "put",
      path: "/api/wifi",
      access: "lead",
      summary: "Keeps the site's Wi-Fi with the site; an empty password is an open network.",
      body: WifiSchema,
      answers: WifiAnswer,
      handle: ({ body }) => {
        log.setSetting(KEY, body);
        return answer();
      },
    }),
    route({
      method: "delete",
      path: "/api/wifi",
      access: "lead",
      summary: "Forgets the site's Wi-Fi.",
      answers: WifiAnswer,
      handle: () => {
        log.setSetting(KEY, undefined);
        return answer();
      },
    }),
  ];
}
