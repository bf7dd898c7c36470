/** What can be said to `npm run after`. Every mistake is one sentence naming the option. */
import { parseArgs } from "node:util";
import { SIDECAR_NAMES, type SidecarNaming } from "../../shared/images/take-away/sidecar-name.ts";

export interface AfterOptions {
  site: string;
  rig: string;
  camera: string | null;
  json: boolean;
  write: boolean;
  sidecar: SidecarNaming;
  folders: string[];
}

/** A mistake of the person at the keyboard: told without a stack, exit code 2. */
export class AfterError extends Error {
  override name = "AfterError";
}

export const AFTER_USAGE = `Usage: npm run after -- --site FILE --rig ID [options] FOLDER…
  --site FILE       the site's file: exported from the hub, or the hub's own site.db
  --rig ID          the rig whose images and videos lie in the folders
  --camera NAME     which of the rig's cameras, where it has several
  --json            one JSON line for each file
  --write           writes XMP sidecars beside the files; without it nothing is written
  --sidecar NAME    name.xmp (default) or name.ext.xmp
  --help            this text`;

export function readAfterOptions(args: readonly string[]): AfterOptions | "help" {
  let parsed: { values: Record<string, string | boolean | undefined>; positionals: string[] };
  try {
    parsed = parseArgs({
      args: [...args],
      options: {
        site: { type: "string" },
        rig: { type: "string" },
        camera: { type: "string" },
        json: { type: "boolean" },
        write: { type: "boolean" },
        sidecar: { type: "string" },
        help: { type: "boolean" },
      },
      allowPositionals: true,
    });
  } catch (error) {
    throw new AfterError(`${(error as Error).message.split(". ")[0]}.\n${AFTER_USAGE}`);
  }
  const { values, positionals } = parsed;
  if (values.help) return "help";
  const text = (name: string): string | undefined => {
    const value = values[name];
    if (value === "") throw new AfterError(`--${name} needs a value.`);
    return typeof value === "string" ? value : undefined;
  };
  const site = text("site");
  if (site === undefined) throw new AfterError(`--site FILE is missing.\n${AFTER_USAGE}`);
  const rig = text("rig");
  if (rig === undefined) throw new AfterError(`--rig ID is missing.\n${AFTER_USAGE}`);
  const sidecar = SIDECAR_NAMES.find((name) => name === (text("sidecar") ?? "name.xmp"));
  if (!sidecar) throw new AfterError(`--sidecar must be ${SIDECAR_NAMES.join(" or ")}.`);
  if (positionals.length === 0) throw new AfterError(`FOLDER is missing.\n${AFTER_USAGE}`);
  return {
    site,
    rig,
    camera: text("camera") ?? null,
    json: values.json === true,
    write: values.write === true,
    sidecar,
    folders: positionals,
  };
}
