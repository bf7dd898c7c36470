/**
 * Images and videos of a run. The log keeps what files said of themselves (shared/fields/image-frame.ts);
 * where they belong is worked out at every asking, by the cameras' clocks as they are known then.
 */
import { setImmediate as otherWork } from "node:timers/promises";
import type { Response } from "express";
import * as v from "valibot";
import { id } from "../../shared/fields/id.ts";
import type { Finding } from "../../shared/images/findings/findings.ts";
import { findingsOf } from "../../shared/images/findings/findings.ts";
import { READ } from "../../shared/images/place/knowledge.ts";
import { NotedFrames } from "../../shared/images/place/noted-frames.ts";
import { PHASES } from "../../shared/images/place/phase.ts";
import type { PlacedFrame } from "../../shared/images/place/place-frame.ts";
import { ImagesSchema } from "../../shared/run/orders/commands.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { isoUtc } from "../../shared/time/iso.ts";
import { readInPieces } from "../log/read-in-pieces.ts";
import { newId } from "../new-id.ts";
import type { HubParts } from "./hub-parts.ts";
import { writeRows } from "./log-export.ts";
import { type Route, refusalReply, route } from "./route.ts";
import { askedRun, runQuery } from "./run-query.ts";
import { said } from "./said.ts";

/** The loop is held for no longer, ms, while thousands of frames are placed. */
const PIECE_MS = 3;

const ImagesQuery = v.object(runQuery);
const orNull = <Schema extends v.GenericSchema>(schema: Schema, text = "") =>
  text === "" ? v.nullable(schema) : said(v.nullable(schema), text);

const image = v.object({
  rigId: v.string(),
  file: v.string(),
  kind: v.picklist(["image", "video"]),
  camera: orNull(v.string(), "By whose clock it was placed"),
  cameraTime: orNull(v.string(), "As stamped"),
  utc: orNull(v.string(), "Begin of the exposure or the recording; null where nothing leads to it"),
  boundS: orNull(v.number(), "The truth lies within so much of utc; null where that is not known"),
  phase: orNull(v.picklist(PHASES)),
  fromContact: orNull(
    v.object({ contact: v.picklist(["C1", "C2", "C3", "C4"]), s: v.number() }),
    "Seconds from the nearest contact, below 0 before it",
  ),
  covered: orNull(v.number(), "Fraction of the Sun's area"),
  intoS: orNull(v.number(), "Seconds since C2, in totality and in a ring"),
  sunAltitudeDeg: orNull(v.number()),
  sunAzimuthDeg: orNull(v.number()),
  filter: orNull(
    v.picklist(["on", "off", "unknown", "capped", "none by design"]),
    "As it had been reported then",
  ),
  cueId: orNull(v.string(), "The last cue about photographs before it"),
  differences: v.array(
    v.object({
      what: v.picklist(["exposure", "iso", "f-number"]),
      wanted: v.array(v.number()),
      got: v.number(),
    }),
  ),
  exposureS: orNull(v.number()),
  fNumber: orNull(v.number()),
  iso: orNull(v.number()),
  durationS: orNull(v.number()),
  warnings: v.array(v.string()),
});
const ImagesAnswer = v.object({
  runId: v.string(),
  frames: v.array(image),
  findings: v.array(
    v.looseObject({
      kind: v.picklist(["filter-on", "gap", "not-planned", "no-frames", "no-totality", "unplaced"]),
      rigId: v.string(),
    }),
  ),
});
const NotedAnswer = v.object({ id: v.string(), runId: v.string(), frames: v.number() });

const NoteSchema = v.strictObject({ id: v.optional(id), ...ImagesSchema.entries });

export function imageRoutes(parts: HubParts): Route[] {
  const { keeper } = parts;
  return [
    route({
      method: "get",
      path: "/api/images",
      access: "lead",
      summary: "Images and videos of a run in their place: time, phase, filter, cue; and what was found.",
      query: ImagesQuery,
      answers: ImagesAnswer,
      handle: async ({ query }) => {
        const runId = askedRun(query.run, parts);
        const found = await imagesOf(parts, runId);
        // Before anything was said the run that is on is in no log: it has no images.
        if (found || query.run === undefined)
          return {
            send: (response) => imagesJson(found ?? { runId, placed: [], findings: [] }, response),
          };
        return refusalReply(refusal("not-found", `no run ${runId} in the log`, { field: "run" }));
      },
    }),
    route({
      method: "post",
      path: "/api/images",
      access: "lead",
      summary:
        "What files of a rig said of themselves. A file that was noted before is noted anew; all stays in the log. Stamps are sent as if the camera's civil time were UTC.",
      status: 201,
      body: NoteSchema,
      answers: NotedAnswer,
      handle: async ({ body: { id: asked, ...images }, caller }) => {
        const commandId = asked ?? newId();
        const answer = await keeper.order(caller.sender, caller.actor, commandId, {
          type: "noteImages",
          ...images,
        });
        if (!answer.ok) return refusalReply(answer.refusal);
        const runId = askedRun(images.runId, parts);
        return { body: { id: commandId, runId, frames: images.frames.length } };
      },
    }),
  ];
}

interface Found {
  runId: string;
  placed: PlacedFrame[];
  findings: Finding[];
}

/** Null when there is no such run. */
async function imagesOf({ log }: HubParts, runId: string): Promise<Found | null> {
  const noted = new NotedFrames(runId);
  await readInPieces(log, { runId, saying: READ }, (event) => noted.take(event));
  const known = noted.known();
  if (!known) return null;
  let since = performance.now();
  const rest = async (): Promise<void> => {
    if (performance.now() - since < PIECE_MS) return;
    await otherWork();
    since = performance.now();
  };
  const placed: PlacedFrame[] = [];
  for (const one of noted.placed(known)) {
    placed.push(one);
    await rest();
  }
  const at = ({ utcMs }: PlacedFrame): number => utcMs ?? Number.MAX_VALUE;
  placed.sort((a, b) => at(a) - at(b));
  await rest();
  return { runId, placed, findings: findingsOf(known, placed) };
}

/** Written frame by frame: an evening's answer has some megabytes. */
async function imagesJson({ runId, placed, findings }: Found, response: Response): Promise<void> {
  response.type("application/json");
  response.write(`{"runId":${JSON.stringify(runId)},"findings":${JSON.stringify(findings)},"frames":[`);
  await writeRows(response, rows(placed));
  response.end("]}\n");
}

function* rows(placed: readonly PlacedFrame[]): Generator<string> {
  for (const [i, one] of placed.entries()) yield `${i === 0 ? "" : ","}\n${JSON.stringify(imageOf(one))}`;
}

function imageOf(placed: PlacedFrame): v.InferOutput<typeof image> {
  const { frame, utcMs, boundMs, phase, sun } = placed;
  return {
    rigId: placed.rigId,
    file: frame.file,
    kind: frame.kind,
    camera: placed.camera,
    cameraTime: frame.stamp?.text ?? null,
    utc: utcMs === null ? null : isoUtc(utcMs),
    boundS: boundMs === null ? null : boundMs / 1000,
    phase: phase?.phase ?? null,
    fromContact: phase?.fromContact ?? null,
    covered: phase?.covered ?? null,
    intoS: phase?.intoS ?? null,
    sunAltitudeDeg: sun?.altitudeDeg ?? null,
    sunAzimuthDeg: sun?.azimuthDeg ?? null,
    filter: placed.filter,
    cueId: placed.cueId,
    differences: placed.differences,
    exposureS: frame.exposureS,
    fNumber: frame.fNumber,
    iso: frame.iso,
    durationS: frame.durationS,
    warnings: placed.warnings,
  };
}
