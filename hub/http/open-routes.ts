/** What anyone on the network may ask: health, eclipses, circumstances, the board. */
import type { Contact, FreshCircumstances } from "../../shared/eclipse/circumstances-types.ts";
import { eclipsesBetween } from "../../shared/eclipse/table.ts";
import { parseCoordinates } from "../../shared/places/parse-coordinates.ts";
import { PROTOCOL } from "../../shared/protocol/version.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { utcMs } from "../../shared/time/instants.ts";
import { isoUtc, parseIsoUtc } from "../../shared/time/iso.ts";
import { secondOpinion } from "../astronomy-check.ts";
import { hasIt } from "../entity-tag.ts";
import { RELAY_HEADER, readRelayWord } from "../feeds/relay-word.ts";
import { zoneAt } from "../zones.ts";
import { BoardAnswer, CircumstancesAnswer, EclipsesAnswer, HealthAnswer, TimeAnswer } from "./answers.ts";
import { BOARD_CACHE } from "./board-headers.ts";
import type { HubParts } from "./hub-parts.ts";
import { CircumstancesQuery, CoordinatesQuery, EclipsesQuery, PlaceQuery } from "./queries.ts";
import { type Route, refusalReply, route } from "./route.ts";

const DAY_MS = 86_400_000;

export function openRoutes({ boards, clock, relays, solver, queue, version }: HubParts): Route[] {
  return [
    route({
      method: "get",
      path: "/api/health",
      access: "anyone",
      summary: "Whether the hub is well, and how good its clock is.",
      answers: HealthAnswer,
      handle: () => {
        const { utcMs: at, boundMs } = clock.stamp();
        return {
          body: {
            status: "ok",
            version,
            protocol: PROTOCOL,
            utcMs: at,
            clock: { source: clock.status().source, boundMs },
          },
        };
      },
    }),
    route({
      method: "get",
      path: "/api/eclipses",
      access: "anyone",
      summary: "Solar eclipses between two days (UTC); the next five years by default.",
      query: EclipsesQuery,
      answers: EclipsesAnswer,
      handle: ({ query }) => {
        const from = (query.from && parseIsoUtc(query.from)) || clock.now();
        const to = (query.to && parseIsoUtc(query.to)) || utcMs(from + 5 * 365.25 * DAY_MS);
        // A day given as the end counts whole.
        const end = query.to && !query.to.includes("T") ? utcMs(to + DAY_MS - 1) : to;
        if (end < from)
          return refusalReply(refusal("bad-input", "to must not be before from", { field: "to" }));
        return {
          body: {
            eclipses: eclipsesBetween(utcMs(from), end).map(({ greatestUtcMs, ...rest }) => ({
              ...rest,
              greatestUtc: isoUtc(greatestUtcMs),
            })),
          },
        };
      },
    }),
    route({
      method: "get",
      path: "/api/circumstances",
      access: "anyone",
      summary:
        "What a place gets from an eclipse. Contacts are for the smooth Moon and the canon's Sun (959.63″); limb is to be added to c2 and c3: it leads to what is seen, with the Moon's limb and the Sun of eclipses (959.95″, or solarRadius).",
      query: CircumstancesQuery,
      answers: CircumstancesAnswer,
      handle: async ({ query, request }) => {
        const place = { latDeg: query.lat, lonDeg: east(query.lon), heightM: query.height };
        const options = {
          limb: query.limb === "on",
          ...(query.deltaT !== undefined && { deltaTS: query.deltaT }),
          ...(query.kPenumbra !== undefined && { kPenumbra: query.kPenumbra }),
          ...(query.kUmbra !== undefined && { kUmbra: query.kUmbra }),
          ...(query.solarRadius !== undefined && { solarRadiusArcsec: query.solarRadius }),
          ...(query.placeBound !== undefined && { placeBoundM: query.placeBound }),
        };
        const reply = (found: FreshCircumstances | undefined) =>
          found ? { body: circumstancesJson(found) } : unknownEclipse(query.eclipse);
        // Without the limb it takes a tenth of a millisecond.
        if (!options.limb) return reply(solver.circumstances(query.eclipse, place, options));
        const key = JSON.stringify(["circumstances", query.eclipse, place, options]);
        const work = () => solver.circumstancesSteps(query.eclipse, place, options);
        const done = await queue.work(request.ip ?? "", key, work);
        return done ? reply(done.result) : tooMany();
      },
    }),
    route({
      method: "get",
      path: "/api/second-opinion",
      access: "anyone",
      summary: "The same contacts by an independent general library, good to about 10 s.",
      query: PlaceQuery,
      handle: ({ query }) => {
        const place = { latDeg: query.lat, lonDeg: east(query.lon), heightM: query.height };
        const ours = solver.circumstances(query.eclipse, place, { limb: false });
        return ours ? { body: secondOpinion(ours, place) } : unknownEclipse(query.eclipse);
      },
    }),
    route({
      method: "get",
      path: "/api/coordinates",
      access: "anyone",
      summary: "Reads pasted coordinates in the usual written forms, and tells the place's time zone.",
      query: CoordinatesQuery,
      handle: ({ query }) => {
        const read = parseCoordinates(query.text);
        if ("refusal" in read) {
          const { code, message, field } = read.refusal;
          return refusalReply(refusal("bad-input", message, { field, data: { code } }));
        }
        return { body: { ...read.place, zone: zoneAt(read.place.latDeg, read.place.lonDeg) } };
      },
    }),
    route({
      method: "get",
      path: "/api/time",
      access: "anyone",
      summary: "The hub's time and how far it may be off. Never cached: boards set their clocks by it.",
      answers: TimeAnswer,
      handle: () => {
        const { utcMs: at, boundMs } = clock.stamp();
        return { body: { utcMs: at, boundMs } };
      },
    }),
    route({
      method: "get",
      path: "/api/board",
      access: "anyone",
      summary: "What the public board shows, numbered and signed. Caches may keep it for a second.",
      headers: { "If-None-Match": "An ETag that it gave: 304 while nothing has changed." },
      answers: BoardAnswer,
      handle: ({ request }) => {
        const word = readRelayWord(request.get(RELAY_HEADER));
        // Anybody may say this, so it is shown and nothing hangs on it.
        if (word) relays.note(word, false);
        const { text, etag } = boards.newest();
        const headers = { ETag: etag, "Cache-Control": BOARD_CACHE };
        if (hasIt(request.get("If-None-Match"), etag)) return { status: 304, headers };
        return { headers, send: (response) => void response.type("json").send(text) };
      },
    }),
  ];
}

export function unknownEclipse(id: string) {
  return refusalReply(
    refusal("eclipse-unknown", `eclipse ${id} is not in the table of solar eclipses 1990 to 2100`, {
      field: "eclipse",
    }),
  );
}

export function tooMany() {
  return refusalReply(
    refusal("too-many", "too many computations are waiting; ask again when the first are answered"),
    { "Retry-After": "2" },
  );
}

export function east(lonDeg: number): number {
  return lonDeg > 180 ? lonDeg - 360 : lonDeg;
}

/** Circumstances as the interface gives them: instants as ISO 8601 with ms. */
function circumstancesJson(found: FreshCircumstances): CircumstancesAnswer {
  const contact = (value: Contact | null) => {
    if (!value) return null;
    const { utcMs: at, ...rest } = value;
    return { utc: isoUtc(at), utcMs: at, ...rest };
  };
  const { c1, c2, max, c3, c4 } = found.contacts;
  return {
    ...found,
    contacts: { c1: contact(c1), c2: contact(c2), max: contact(max), c3: contact(c3), c4: contact(c4) },
  };
}
