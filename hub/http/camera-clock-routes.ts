/**
 * What is known of the cameras' clocks. The log keeps what was seen (shared/fields/camera-clock.ts);
 * offset, rate and bound are solved from it at every asking, so that all of them are of one method.
 */
import * as v from "valibot";
import { CameraBasisSchema, type Sighting, ZoneMin } from "../../shared/fields/camera-clock.ts";
import { id } from "../../shared/fields/id.ts";
import { clockOf, intervalsOf, missMs } from "../../shared/images/camera-clock/known-clock.ts";
import type { OffsetInterval } from "../../shared/images/camera-clock/photographs.ts";
import { type CameraClock, offsetAt } from "../../shared/images/camera-clock/solve.ts";
import { localEclipse } from "../../shared/plan/local-eclipse.ts";
import { CameraClockSchema } from "../../shared/run/orders/commands.ts";
import type { CameraClockRecord, SiteState } from "../../shared/run/state.ts";
import { isoUtc } from "../../shared/time/iso.ts";
import { newId } from "../new-id.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, refusalReply, route } from "./route.ts";
import { said } from "./said.ts";

const isoText = said(v.string(), "ISO 8601 with ms, UTC");
const at = v.object({
  utc: isoText,
  offsetS: said(v.number(), "Camera minus UTC, apart from the zone"),
  boundS: said(v.number(), "The truth lies within so much of offsetS"),
});
const word = {
  id: v.string(),
  rigId: v.string(),
  camera: v.string(),
  by: v.string(),
  notedUtcMs: v.number(),
  how: v.picklist(["photographs", "frame", "sound", "cable", "hand", "unknown"]),
  zoneMin: said(ZoneMin, "Camera's civil time minus UTC, whole quarter-hours"),
  offsetS: said(
    v.nullable(v.number()),
    "Camera minus UTC, apart from the zone: at C2, or where there is none at maximum, or without a site in the middle of what was seen",
  ),
  boundS: v.nullable(v.number()),
  utc: said(v.nullable(isoText), "The instant of offsetS and boundS"),
  gainSPerH: said(
    v.nullable(v.number()),
    "How fast it gains on UTC, seconds an hour: the middle of what is possible",
  ),
  c2: v.nullable(at),
  c3: v.nullable(at),
};
const cameraClock = v.object({
  ...word,
  line: said(
    v.nullable(
      v.object({
        originUtc: isoText,
        corners: v.array(v.object({ offsetS: v.number(), rate: said(v.number(), "s/s") })),
      }),
    ),
    "All that is possible: at any instant the offset lies between the least and the most of offsetS + rate × (instant − originUtc) over the corners",
  ),
  used: said(v.number(), "Sightings, or readings over a cable, that agree"),
  dropped: v.array(
    v.object({
      name: v.string(),
      missS: said(v.number(), "By how much it misses what the others leave possible"),
    }),
  ),
  basis: CameraBasisSchema,
  earlier: said(v.array(v.object(word)), "What was said of this camera before, newest first"),
});
const CameraClocksAnswer = v.object({ cameraClocks: v.array(cameraClock) });
type CameraClockAnswer = v.InferOutput<typeof cameraClock>;

const NoteSchema = v.strictObject({ id: v.optional(id), ...CameraClockSchema.entries });

export function cameraClockRoutes({ keeper }: HubParts): Route[] {
  return [
    route({
      method: "get",
      path: "/api/camera-clocks",
      access: "lead",
      summary:
        "Every camera's clock as far as it is known: offset and bound, at C2, at C3 and at any instant.",
      answers: CameraClocksAnswer,
      handle: () => ({ body: { cameraClocks: cameraClocks(keeper.state) } }),
    }),
    route({
      method: "post",
      path: "/api/camera-clocks",
      access: "lead",
      summary:
        "What was seen of a camera's clock, in place of what was said of that camera before; both stay in the log. Stamps are sent as if the camera's civil time were UTC.",
      status: 201,
      body: NoteSchema,
      answers: cameraClock,
      handle: async ({ body: { id: asked, ...clock }, caller }) => {
        const commandId = asked ?? newId();
        const answer = await keeper.order(caller.sender, caller.actor, commandId, {
          type: "noteCameraClock",
          ...clock,
        });
        if (!answer.ok) return refusalReply(answer.refusal);
        const known = cameraClocks(keeper.state);
        return { body: known.find(({ rigId, camera }) => rigId === clock.rigId && camera === clock.camera) };
      },
    }),
  ];
}

function cameraClocks(state: SiteState): CameraClockAnswer[] {
  const byCamera = new Map<string, CameraClockRecord[]>();
  for (const one of state.cameraClocks) {
    const key = JSON.stringify([one.rigId, one.camera]);
    byCamera.set(key, [one, ...(byCamera.get(key) ?? [])]);
  }
  return [...byCamera.values()].map(([newest, ...earlier]) => {
    const record = newest as CameraClockRecord;
    const clock = clockOf(record.basis, record.zoneMin);
    const { basis } = record;
    const sightings: readonly Sighting[] = basis.how === "sightings" ? basis.sightings : [];
    const seen = basis.how === "cable" ? basis.readings.length : sightings.length;
    const intervals = intervalsOf(basis, record.zoneMin);
    return {
      ...wordOf(record, clock, state),
      line: clock && {
        originUtc: isoUtc(clock.originUtcMs),
        corners: clock.corners.map(([offsetMs, rate]) => ({
          offsetS: offsetMs / 1000 - record.zoneMin * 60,
          rate,
        })),
      },
      used: seen - (clock?.dropped.length ?? 0),
      dropped: (clock?.dropped ?? []).map((i) => ({
        name: sightings[i]?.name ?? "",
        missS: clock ? missMs(clock, intervals[i] as OffsetInterval) / 1000 : 0,
      })),
      basis,
      earlier: earlier.map((one) => wordOf(one, clockOf(one.basis, one.zoneMin), state)),
    };
  });
}

type Word = Pick<CameraClockAnswer, keyof typeof word>;

function wordOf(record: CameraClockRecord, clock: CameraClock | null, state: SiteState): Word {
  const { clockId, rigId, camera, by, notedUtcMs, zoneMin, basis } = record;
  const { c2, c3, max } = localEclipse(state.circumstances).contacts;
  const when = (utcMs: number | null | undefined) => {
    if (!clock || utcMs === null || utcMs === undefined) return null;
    const { offsetMs, boundMs } = offsetAt(clock, utcMs);
    return { utc: isoUtc(utcMs), offsetS: offsetMs / 1000 - zoneMin * 60, boundS: boundMs / 1000 };
  };
  const main = when(c2 ?? max ?? clock?.originUtcMs);
  return {
    id: clockId,
    rigId,
    camera,
    by,
    notedUtcMs,
    how: howOf(basis),
    zoneMin,
    offsetS: main?.offsetS ?? null,
    boundS: main?.boundS ?? null,
    utc: main?.utc ?? null,
    gainSPerH: clock && offsetAt(clock, clock.originUtcMs).gainMsPerH / 1000,
    c2: when(c2),
    c3: when(c3),
  };
}

/** Photographs of the clock outweigh what came beside them. */
function howOf(basis: CameraClockRecord["basis"]): Word["how"] {
  if (basis.how !== "sightings") return basis.how;
  const kinds = new Set(basis.sightings.map(({ of }) => of));
  if (kinds.has("code") || kinds.has("digits")) return "photographs";
  return kinds.has("sound") ? "sound" : "frame";
}
