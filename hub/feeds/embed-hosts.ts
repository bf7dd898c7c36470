/** Who may show the board in a frame: nobody, until a lead names hosts. A setting of the site. */
import * as v from "valibot";
import { EmbedSchema } from "../../shared/protocol/board-document.ts";
import type { Settings } from "./settings.ts";

export const EMBED_SETTING = "boardEmbed";

/** Of a setting from elsewhere that names no hosts, none counts. */
export function embedHosts(log: Pick<Settings, "getSetting">): readonly string[] {
  const read = v.safeParse(EmbedSchema, log.getSetting(EMBED_SETTING));
  return read.success ? read.output : [];
}
