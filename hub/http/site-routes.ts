/** The whole site as one file: to keep, or to carry to another laptop and go on there. */
import { createReadStream } from "node:fs";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Request, raw } from "express";
import { refusal } from "../../shared/run/refusal.ts";
import { isoDate } from "../../shared/time/iso.ts";
import { LogError } from "../log/event-log.ts";
import { exportSite, stageRestore } from "../log/site-file.ts";
import { SqliteLog } from "../log/sqlite-log.ts";
import type { HubParts } from "./hub-parts.ts";
import { type Route, refusalReply, route } from "./route.ts";

const MOST_SITE_FILE = "512mb";

export function siteRoutes({ log, keeper, clock }: HubParts, folder: string, onRestore: () => void): Route[] {
  return [
    route({
      method: "get",
      path: "/api/site",
      access: "lead",
      summary: "The site as one file. Whoever has it can act as any rig: handle it like a key.",
      answersAs: "application/vnd.sqlite3",
      handle: async () => {
        if (!(log instanceof SqliteLog)) return refusalReply(refusal("internal", "this hub keeps no file"));
        keeper.snapshot();
        const made = await mkdtemp(join(tmpdir(), "noonfall-"));
        const file = join(made, "site.db");
        await exportSite(log, file);
        const name = `noonfall-${slug(keeper.state.plan.site?.name ?? "site")}-${isoDate(clock.now())}.site`;
        return {
          headers: {
            "Content-Type": "application/vnd.sqlite3",
            "Content-Disposition": `attachment; filename="${name}"`,
          },
          send: (response) => {
            const stream = createReadStream(file);
            const tidy = (): void => void rm(made, { recursive: true, force: true });
            stream.on("error", () => response.destroy());
            stream.on("close", tidy);
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
        const bytes = await readBody(request, response);
        if (!bytes || bytes.length === 0) {
          return refusalReply(refusal("bad-input", "body must be the site's file", { field: "body" }));
        }
        const made = await mkdtemp(join(tmpdir(), "noonfall-"));
        const file = join(made, "incoming.site");
        try {
          await writeFile(file, bytes);
          const summary = stageRestore(folder, file);
          response.on("finish", () => setTimeout(onRestore, 200));
          return { body: summary };
        } catch (error) {
          if (!(error instanceof LogError)) throw error;
          const message = error.message.replaceAll(file, "The file");
          return refusalReply(refusal("bad-input", message, { field: "body" }));
        } finally {
          await rm(made, { recursive: true, force: true });
        }
      },
    }),
  ];
}

function readBody(
  request: Request,
  response: Parameters<ReturnType<typeof raw>>[1],
): Promise<Buffer | undefined> {
  return new Promise((resolve, reject) => {
    raw({ type: () => true, limit: MOST_SITE_FILE })(request, response, (error?: unknown) => {
      if (error) reject(error);
      else resolve(Buffer.isBuffer(request.body) ? request.body : undefined);
    });
  });
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
