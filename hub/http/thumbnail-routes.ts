/** Thumbnails that a lead keeps with the site: off until somebody asks, bounded, and deleted at a word. */
import * as v from "valibot";
import { id } from "../../shared/fields/id.ts";
import { name } from "../../shared/fields/text.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { KeptThumbnails, THUMBNAILS_MOST_BYTES } from "../site/kept-thumbnails.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, refusalReply, route } from "./route.ts";
import { askedRun, runQuery } from "./run-query.ts";
import { said } from "./said.ts";

/** Letters of base64: 9 kB of JPEG are 160 pixels across. */
const ONE_MOST = 12_000;
const AT_ONCE = 50;

const file = name(300);
const jpeg = v.pipe(
  v.string("must be text"),
  v.maxLength(ONE_MOST, `must have at most ${ONE_MOST} characters`),
  // A JPEG begins with FF D8 FF.
  v.regex(/^\/9j\/[A-Za-z0-9+/]*={0,2}$/, "must be a JPEG in base64"),
);
const KeepSchema = v.strictObject({
  ...runQuery,
  rigId: id,
  thumbnails: v.pipe(
    v.array(v.strictObject({ file, jpeg })),
    v.maxLength(AT_ONCE, `must have at most ${AT_ONCE} thumbnails`),
  ),
});
const sizes = {
  bytes: said(v.number(), "What all of them take in the site's file"),
  mostBytes: said(v.number(), "And what they may take"),
};
const KeptAnswer = v.object({
  runId: v.string(),
  ...sizes,
  kept: v.array(v.object({ rigId: v.string(), file: v.string() })),
});
const KeepAnswer = v.object({
  ...sizes,
  left: said(v.number(), "Of those sent how many found no room any more"),
});
const PictureQuery = v.object({ ...runQuery, rig: said(id, "The rig's id"), file: said(file, "As noted") });

export function thumbnailRoutes(parts: HubParts): Route[] {
  const { log, keeper } = parts;
  const thumbnails = new KeptThumbnails(log);
  const size = () => ({ bytes: thumbnails.bytes(), mostBytes: THUMBNAILS_MOST_BYTES });
  return [
    route({
      method: "get",
      path: "/api/thumbnails",
      access: "lead",
      summary: "Which thumbnails of a run are kept in the site's file, and what all of them take there.",
      query: v.object(runQuery),
      answers: KeptAnswer,
      handle: ({ query }) => {
        const runId = askedRun(query.run, parts);
        const mine = thumbnails.entries().filter((one) => one.runId === runId);
        const kept = mine.map(({ rigId, file }) => ({ rigId, file }));
        return { body: { runId, ...size(), kept } };
      },
    }),
    route({
      method: "get",
      path: "/api/thumbnails/picture",
      access: "lead",
      summary: "One of them.",
      query: PictureQuery,
      answersAs: "image/jpeg",
      handle: ({ query }) => {
        const found = thumbnails.picture(askedRun(query.run, parts), query.rig, query.file);
        if (found === null)
          return refusalReply(refusal("not-found", "no thumbnail of it is kept", { field: "file" }));
        return { send: (response) => void response.type("image/jpeg").send(Buffer.from(found, "base64")) };
      },
    }),
    route({
      method: "post",
      path: "/api/thumbnails",
      access: "lead",
      summary: "Keeps thumbnails of a rig's files in the site's file, in place of earlier ones of the same.",
      status: 201,
      body: KeepSchema,
      answers: KeepAnswer,
      handle: ({ body: { run, rigId, thumbnails: some } }) => {
        if (!keeper.state.plan.rigs.some((rig) => rig.id === rigId))
          return refusalReply(refusal("not-found", `no rig ${rigId}`, { field: "rigId" }));
        const { left } = thumbnails.keep(askedRun(run, parts), rigId, some);
        return { body: { ...size(), left } };
      },
    }),
    route({
      method: "delete",
      path: "/api/thumbnails",
      access: "lead",
      summary: "Deletes all thumbnails that are kept with the site, of every run.",
      answers: v.object(sizes),
      handle: () => {
        thumbnails.removeAll();
        return { body: size() };
      },
    }),
  ];
}
