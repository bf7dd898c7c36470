/**
 * Where to stand, when to leave: up to five places side by side, kept with the site as a setting (it
 * goes with the site's file and is no event: nothing on a rig hangs on it). Moving to one is a save
 * of the plan's site part like any other; the place that was left is remembered, so that another
 * call goes back.
 */
import * as v from "valibot";
import type { Circumstances } from "../../shared/eclipse/circumstances-types.ts";
import { type LocalEclipse, localEclipse } from "../../shared/plan/local-eclipse.ts";
import { type Site, SiteSchema } from "../../shared/plan/model/plan.ts";
import { samePlace, sameSky } from "../../shared/plan/model/same-place.ts";
import { CANDIDATES_MOST, type Candidate, CandidateSchema } from "../../shared/plan/places/candidate.ts";
import { latestDeparture } from "../../shared/plan/places/departure.ts";
import { whatMoved } from "../../shared/plan/places/what-moved.ts";
import type { PlanNote } from "../../shared/plan/plan-note.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { isoUtc } from "../../shared/time/iso.ts";
import { newId } from "../new-id.ts";
import { zoneAt } from "../zones.ts";
import { CandidatesAnswer, MovedAnswer } from "./candidate-answer.ts";
import type { HubParts } from "./hub-parts.ts";
import { tooMany } from "./open-routes.ts";
import { badMatch, etag, revisionAsked } from "./part-revision.ts";
import { type Call, type Reply, type Route, refusalReply, route } from "./route.ts";

const KEY = "candidates";
const KeptSchema = v.object({
  candidates: v.array(CandidateSchema),
  /** Where the site was before the last move. */
  cameFrom: v.nullable(SiteSchema),
});
type Kept = v.InferOutput<typeof KeptSchema>;

export function candidateRoutes({
  log,
  keeper,
  solver,
  queue,
}: Pick<HubParts, "log" | "keeper" | "solver" | "queue">): Route[] {
  /** Of a setting from elsewhere that is no list of places nothing is shown. */
  const kept = (): Kept => {
    const read = v.safeParse(KeptSchema, log.getSetting(KEY));
    return read.success ? read.output : { candidates: [], cameFrom: null };
  };
  const siteRevision = () => keeper.state.planParts.site?.revision ?? 0;

  /** What the eclipse of the plan gives a place; undefined where too many computations wait. */
  const circumstancesAt = async (site: Site, asker: string) => {
    const { eclipse, limb } = keeper.state.plan;
    if (eclipse === null) return { result: null };
    const { latDeg, lonDeg, heightM, placeBoundM, skyline } = site;
    const key = JSON.stringify(["candidate", eclipse, limb, latDeg, lonDeg, heightM, placeBoundM, skyline]);
    return queue.work(asker, key, () => solver.forSiteSteps(eclipse, site, limb));
  };
  const answer = async ({ request }: Pick<Call<unknown, unknown>, "request">): Promise<Reply> => {
    const { candidates, cameFrom } = kept();
    const shown: v.InferOutput<typeof CandidatesAnswer>["candidates"] = [];
    for (const candidate of candidates) {
      const found = await circumstancesAt(candidate.site, request.ip ?? "");
      if (!found) return tooMany();
      const { plan } = keeper.state;
      const here = plan.site !== null && sameSky({ ...plan, site: candidate.site }, plan);
      shown.push({ ...candidate, here, gets: getsOf(found.result ?? null, candidate) });
    }
    const { eclipse } = keeper.state.plan;
    return { body: { eclipse, candidates: shown, cameFrom } };
  };
  /** Coordinates from a list are nobody's word that the group stands there (S5): that is said on the spot. */
  const notYetSeen = (site: Site): Site => {
    const { site: left } = keeper.state.plan;
    return { ...site, confirmed: left !== null && samePlace(left, site) && left.confirmed };
  };
  const moveTo = async (call: Call<unknown, unknown>, site: Site): Promise<Reply> => {
    const ifRevision = revisionAsked(call, "site", siteRevision(), siteRevision());
    if (ifRevision === undefined) return refusalReply(badMatch("the ETag of the site's part"));
    const { group, eclipse, limb, site: left, rigs } = keeper.state.plan;
    const id = newId();
    const done = await keeper.order(
      call.caller.sender,
      call.caller.actor,
      id,
      { type: "saveSite", part: { group, eclipse, limb, site }, ifRevision },
      id,
    );
    const headers = { ETag: etag("site", siteRevision()) };
    if (!done.ok) return refusalReply(done.refusal, headers);
    log.setSetting(KEY, { ...kept(), cameFrom: left });
    const { plan } = keeper.state;
    const moved = whatMoved(rigs, plan.rigs, (done.notes ?? []) as PlanNote[]);
    return { headers, body: { revision: plan.revision, site: plan.site, rigs: moved } };
  };
  return [
    route({
      method: "get",
      path: "/api/candidates",
      access: "lead",
      summary:
        "Places where the group may stand, each with what the plan's eclipse gives it and the latest departure: C2 (or maximum) less drive, set-up and margin.",
      answers: CandidatesAnswer,
      handle: answer,
    }),
    route({
      method: "put",
      path: "/api/candidates/:id",
      access: "lead",
      summary: `Keeps a place to compare, at most ${CANDIDATES_MOST}; a known id is changed. The zone is filled in from the place.`,
      body: CandidateSchema,
      answers: CandidatesAnswer,
      handle: async (call) => {
        const { body, params } = call;
        if (body.id !== params.id)
          return refusalReply(refusal("bad-input", "id is not that of the address", { field: "id" }));
        const { candidates, cameFrom } = kept();
        const known = candidates.some(({ id }) => id === body.id);
        if (!known && candidates.length >= CANDIDATES_MOST)
          return refusalReply(
            refusal("bad-input", `candidates must be at most ${CANDIDATES_MOST}: take one off first`, {
              field: "candidates",
            }),
          );
        const zone = body.site.zone || zoneAt(body.site.latDeg, body.site.lonDeg);
        const one: Candidate = { ...body, site: { ...body.site, zone } };
        const next = known
          ? candidates.map((other) => (other.id === one.id ? one : other))
          : [...candidates, one];
        log.setSetting(KEY, { candidates: next, cameFrom });
        return answer(call);
      },
    }),
    route({
      method: "delete",
      path: "/api/candidates/:id",
      access: "lead",
      summary: "Takes a place off the list.",
      answers: CandidatesAnswer,
      handle: async (call) => {
        const { candidates, cameFrom } = kept();
        const next = candidates.filter(({ id }) => id !== call.params.id);
        if (next.length === candidates.length) return refusalReply(unknown(call.params.id));
        log.setSetting(KEY, { candidates: next, cameFrom });
        return answer(call);
      },
    }),
    route({
      method: "post",
      path: "/api/candidates/:id/move",
      access: "lead",
      summary:
        "Moves the whole plan to this place and says what changed for each rig. The place is not confirmed by that (S5).",
      headers: { "If-Match": "The ETag of GET /api/plan/site; without it whatever is there." },
      answers: MovedAnswer,
      handle: async (call) => {
        const found = kept().candidates.find(({ id }) => id === call.params.id);
        return found ? moveTo(call, notYetSeen(found.site)) : refusalReply(unknown(call.params.id));
      },
    }),
    route({
      method: "post",
      path: "/api/candidates-back",
      access: "lead",
      summary: "Moves the whole plan back to where it was before the last move, confirmed if it was.",
      headers: { "If-Match": "The ETag of GET /api/plan/site; without it whatever is there." },
      answers: MovedAnswer,
      handle: async (call) => {
        const { cameFrom } = kept();
        return cameFrom
          ? moveTo(call, cameFrom)
          : refusalReply(refusal("not-found", "the site has not been moved from anywhere", { field: "id" }));
      },
    }),
  ];
}

function unknown(id = "") {
  return refusal("not-found", `no place ${id} on the list`, { field: "id" });
}

type Gets = v.InferOutput<typeof CandidatesAnswer>["candidates"][number]["gets"];

function getsOf(found: Circumstances | null, candidate: Candidate): Gets {
  if (!found) return null;
  const gets: LocalEclipse = localEclipse(found);
  const { max } = found.contacts;
  const departure = latestDeparture(gets, candidate);
  return {
    kind: gets.kind,
    visible: gets.visible,
    durationS: gets.totalityS || gets.ringS,
    obscuration: found.obscuration,
    altitudeDeg: gets.visible && max ? max.altitudeDeg : null,
    azimuthDeg: gets.visible && max ? max.azimuthDeg : null,
    timingBoundS: found.timingBoundS,
    beadsC2S: lengthS(found.moments?.beadsC2, gets.contacts.c2),
    beadsC3S: lengthS(gets.contacts.c3, found.moments?.beadsC3),
    c2Utc: gets.contacts.c2 === null ? null : isoUtc(gets.contacts.c2),
    departure: departure && {
      anchor: departure.anchor,
      utc: isoUtc(departure.utcMs),
      utcMs: departure.utcMs,
      zone: candidate.site.zone,
    },
  };
}

function lengthS(from: number | null | undefined, to: number | null | undefined): number | null {
  return from == null || to == null || to < from ? null : (to - from) / 1000;
}
