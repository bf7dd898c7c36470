/** The whole site as one file: to keep, or to carry to another laptop and go on there. */
import { createReadStream, createWriteStream } from "node:fs";
import { stat } from "node:fs/promises";
import { basename } from "node:path";
import { Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import type { Request } from "express";
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import { isoDate } from "../../shared/time/iso.ts";
import { freeBytes } from "../log/disk-space.ts";
import { LogError } from "../log/event-log.ts";
import { exportSite, partialFile, removePartial, stageRestore } from "../log/site-file.ts";
import { SqliteLog } from "../log/sqlite-log.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, refusalReply, route } from "./route.ts";

const MOST_SITE_FILE_BYTES = 512 * 1024 * 1024;
/** Left on the disk whatever is laid beside the log: reports come first. */
const RESERVE_BYTES = 64 * 1024 * 1024;

export function siteRoutes({ log, keeper, clock }: HubParts, folder: string, onRestore: () => void): Route[] {
  let restoring = false;
  return [
    route({
      method: "get",
      path: "/api/site",
      access: "lead",
      summary: "The site as one file. Whoever has it can act as any rig: handle it like a key.",
      answersAs: "application/vnd.sqlite3",
      handle: async () => {
        if (!(log instanceof SqliteLog)) return refusalReply(refusal("internal", "this hub keeps no file"));
        const noRoom = await lackOfRoom(folder, (await stat(log.file)).size);
        if (noRoom) return refusalReply(noRoom);
        keeper.snapshot();
        const file = partialFile(folder, "outgoing");
        await exportSite(log, file);
        const name = `noonfall-${slug(keeper.state.plan.site?.name ?? "site")}-${isoDate(clock.now())}.site`;
        return {
          headers: {
            "Content-Type": "application/vnd.sqlite3",
            "Content-Disposition": `attachment; filename="${name}"`,
          },
          send: (response) => {
            const stream = createReadStream(file);
            stream.on("error", () => response.destroy());
            stream.on("close", () => void removePartial(file));
            response.on("close", () => stream.destroy());
            stream.pipe(response);
          },
        };
      },
    }),
    route({
      method: "post",
      path: "/api/site",
      access: "lead",
      summary:
        "Restores a site from its file. The hub starts anew with it; what was here before is kept as a backup in the data folder.",
      rawBody: true,
      status: 202,
      handle: async ({ request, response }) => {
        // What is restored knows nothing of it, and only a lead's release ends it.
        if (keeper.state.cover)
          return refusalReply(
            refusal("safety-rule", "S7: every lens is covered until a lead releases it", {
              rule: "S7",
              data: { reason: "covered" },
            }),
          );
        if (restoring)
          return refusalReply(refusal("too-many", "another site is being restored; wait for it"));
        restoring = true;
        const file = partialFile(folder, "incoming");
        try {
          const unfit = (await unfitBody(request, folder)) ?? (await receive(request, file));
          if (unfit) return refusalReply(unfit, { Connection: "close" });
          const summary = await stageRestore(folder, file);
          // Whoever asked is told before the hub goes, or has gone and is not waited for.
          const begin = once(() => setTimeout(onRestore, 200));
          if (response.destroyed) begin();
          response.on("finish", begin);
          response.on("close", begin);
          return { body: summary };
        } catch (error) {
          if (!(error instanceof LogError)) throw error;
          const message = error.message.replaceAll(file, "The file").replaceAll(basename(file), "the file");
          return refusalReply(refusal("bad-input", message, { field: "body" }));
        } finally {
          restoring = false;
          await removePartial(file);
        }
      },
    }),
  ];
}

/** What can be said of the body before it is read; undefined when it may come. */
async function unfitBody(request: Request, folder: string): Promise<Refusal | undefined> {
  const coding = request.get("Content-Encoding");
  if (coding !== undefined && coding !== "identity")
    return refusal("bad-input", "Content-Encoding: send the site's file as it is", {
      field: "Content-Encoding",
    });
  const length = Number(request.get("Content-Length") ?? 0);
  if (length > MOST_SITE_FILE_BYTES) return tooLarge();
  return lackOfRoom(folder, length);
}

/** Writes the body to a file as it comes in; what is wrong with it, if so. */
async function receive(request: Request, file: string): Promise<Refusal | undefined> {
  let bytes = 0;
  const count = new Transform({
    transform(chunk: Buffer, _coding, next) {
      bytes += chunk.length;
      if (bytes > MOST_SITE_FILE_BYTES) next(new TooLargeError());
      else next(null, chunk);
    },
  });
  try {
    await pipeline(request, count, createWriteStream(file, { mode: 0o600 }));
  } catch (error) {
    if (error instanceof TooLargeError) return tooLarge();
    const { code, message } = error as NodeJS.ErrnoException;
    if (code === "ENOSPC") return refusal("too-large", "the hub's disk is full", { field: "body" });
    return refusal("bad-input", `body did not come in whole (${message})`, { field: "body" });
  }
  return bytes === 0 ? refusal("bad-input", "body must be the site's file", { field: "body" }) : undefined;
}

class TooLargeError extends Error {}

function tooLarge(): Refusal {
  const most = MOST_SITE_FILE_BYTES / 1024 / 1024;
  return refusal("too-large", `the site's file may have at most ${most} MB`, { field: "body" });
}

async function lackOfRoom(folder: string, bytes: number): Promise<Refusal | undefined> {
  const free = await freeBytes(folder);
  if (free >= bytes + RESERVE_BYTES) return undefined;
  const lack = Math.ceil((bytes + RESERVE_BYTES - free) / 1e6);
  return refusal("too-large", `the hub's disk has too little room: ${lack} MB more must be free`);
}

function once(work: () => void): () => void {
  let done = false;
  return () => {
    if (!done) work();
    done = true;
  };
}

function slug(name: string): string {
  return (
    name
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, "-")
      .replace(/^-|-$/g, "")
      .slice(0, 40) || "site"
  );
}
