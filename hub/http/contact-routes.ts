/** The contacts as they were seen here, against the prediction: for the group and for whoever measures. */
import * as v from "valibot";
import { latDeg, lonDeg } from "../../shared/fields/place.ts";
import { SEEN_CONTACTS } from "../../shared/fields/seen-contact.ts";
import { contactsAsSeen } from "../../shared/images/contacts/contacts-as-seen.ts";
import { isoUtc } from "../../shared/time/iso.ts";
import { sendTable } from "./csv.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, route } from "./route.ts";
import { said } from "./said.ts";

const SeenAnswer = v.object({
  eclipse: v.nullable(v.string()),
  place: v.nullable(v.object({ latDeg, lonDeg, heightM: v.number(), boundM: v.number() })),
  contacts: v.array(
    v.object({
      contact: v.picklist(SEEN_CONTACTS),
      method: v.picklist(["call", "frames"]),
      rigId: v.nullable(v.string()),
      camera: v.nullable(v.string()),
      by: v.string(),
      utc: v.string(),
      predictedUtc: said(v.string(), "With the lunar limb, as the site's circumstances"),
      laterS: said(v.number(), "Seen minus predicted"),
      boundS: said(v.number(), "The truth of what was seen lies within so much"),
      parts: v.array(
        v.object({ cause: v.picklist(["frames", "camera clock", "stamp", "reaction"]), s: v.number() }),
      ),
    }),
  ),
});
type SeenAnswer = v.InferOutput<typeof SeenAnswer>;

export function contactRoutes({ keeper }: HubParts): Route[] {
  const answer = (): SeenAnswer => {
    const { plan } = keeper.state;
    return {
      eclipse: plan.eclipse,
      place: plan.site && {
        latDeg: plan.site.latDeg,
        lonDeg: plan.site.lonDeg,
        heightM: plan.site.heightM,
        boundM: plan.site.placeBoundM,
      },
      contacts: contactsAsSeen(keeper.state).map((one) => ({
        contact: one.contact as SeenAnswer["contacts"][number]["contact"],
        method: one.method,
        rigId: one.rigId,
        camera: one.camera,
        by: one.by,
        utc: isoUtc(one.utcMs),
        predictedUtc: isoUtc(one.predictedUtcMs),
        laterS: one.laterS,
        boundS: one.boundMs / 1000,
        parts: one.parts.map(({ cause, ms }) => ({ cause, s: ms / 1000 })),
      })),
    };
  };
  return [
    route({
      method: "get",
      path: "/api/contacts-seen",
      access: "lead",
      summary:
        "Contacts as seen by calls and by frames, against the prediction, with bounds and their parts.",
      answers: SeenAnswer,
      handle: () => ({ body: answer() }),
    }),
    route({
      method: "get",
      path: "/api/contacts-seen.csv",
      access: "lead",
      summary: "The same as a table, place and method in each row; no cell can act as a formula.",
      answersAs: "text/csv",
      handle: () => ({
        send: (response) => sendTable(response, "noonfall-contacts-seen.csv", rowsOf(answer())),
      }),
    }),
  ];
}

const COLUMNS = [
  "eclipse",
  "lat_deg",
  "lon_deg",
  "height_m",
  "place_bound_m",
  "contact",
  "method",
  "rig",
  "camera",
  "by",
  "seen_utc",
  "predicted_utc",
  "later_s",
  "bound_s",
  "parts_s",
] as const;

function rowsOf({ eclipse, place, contacts }: SeenAnswer): (readonly unknown[])[] {
  const rows = contacts.map((one) => [
    eclipse,
    place?.latDeg,
    place?.lonDeg,
    place?.heightM,
    place?.boundM,
    one.contact,
    one.method,
    one.rigId,
    one.camera,
    one.by,
    one.utc,
    one.predictedUtc,
    one.laterS.toFixed(3),
    one.boundS.toFixed(3),
    one.parts.map(({ cause, s: part }) => `${cause} ${part.toFixed(3)}`).join(" + "),
  ]);
  return [COLUMNS, ...rows];
}
