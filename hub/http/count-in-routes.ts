/** The count-ins that phones beside a rig gave: what the sound of a video is fitted to. */
import * as v from "valibot";
import { id } from "../../shared/fields/id.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { isoUtc } from "../../shared/time/iso.ts";
import { readInPieces } from "../log/read-in-pieces.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, refusalReply, route } from "./route.ts";
import { askedRun, runQuery } from "./run-query.ts";
import { said } from "./said.ts";

/** As a cue's count-in has at most. */
const PIPS_MOST = 60;

/** Further apart they belong to two count-ins: the first was broken off. */
function pipsBetween(firstMs: number, longMs: number): number {
  const pips = Math.round((longMs - firstMs) / 1000);
  return pips >= 0 && pips <= PIPS_MOST ? pips : 0;
}

const CountInsQuery = v.object({ rig: said(id, "The rig's id"), ...runQuery });
const CountInsAnswer = v.object({
  runId: v.string(),
  countIns: v.array(
    v.object({
      utc: said(v.string(), "When the long pip began, by the phone's clock"),
      utcMs: said(v.number(), "The same, with the fraction of a millisecond"),
      pips: said(v.number(), "Short ones before it, one a second"),
      boundS: said(v.nullable(v.number()), "The phone's clock against the hub's"),
      deviceId: v.nullable(v.string()),
    }),
  ),
});
type CountInsReply = v.InferOutput<typeof CountInsAnswer>;

export function countInRoutes(parts: HubParts): Route[] {
  const { log, keeper } = parts;
  return [
    route({
      method: "get",
      path: "/api/count-ins",
      access: "lead",
      summary: "Count-ins that phones beside a rig sounded in a run, as they told it: pips of 1 kHz.",
      query: CountInsQuery,
      answers: CountInsAnswer,
      handle: async ({ query }) => {
        if (!keeper.state.plan.rigs.some((rig) => rig.id === query.rig))
          return refusalReply(refusal("not-found", `no rig ${query.rig}`, { field: "rig" }));
        const runId = askedRun(query.run, parts);
        const countIns: CountInsReply["countIns"] = [];
        await readInPieces(log, { runId, saying: ["countIn"] }, (event) => {
          if (event.type !== "rigReported" || event.runId !== runId || event.payload.rigId !== query.rig)
            return;
          const { countIn, countInFrom = countIn } = event.payload;
          if (countIn === undefined || countInFrom === undefined) return;
          const { boundMs, deviceId } = event;
          countIns.push({
            utc: isoUtc(countIn),
            utcMs: countIn,
            pips: pipsBetween(countInFrom, countIn),
            boundS: boundMs === null ? null : boundMs / 1000,
            deviceId,
          });
        });
        countIns.sort((a, b) => a.utcMs - b.utcMs);
        return { body: { runId, countIns } };
      },
    }),
  ];
}
