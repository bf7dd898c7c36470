/** Which variant of the plan is in force: the lead's word for the site, or for one rig. Pure. */
import { ownValue } from "../fields/own-key.ts";
import type { Variant } from "../plan/model/vocabulary.ts";
import type { RunRecord } from "./state.ts";

export function variantOf({ variant }: Pick<RunRecord, "variant">, rigId: string): Variant | "clear" {
  return ownValue(variant.rigs, rigId) ?? variant.site;
}
