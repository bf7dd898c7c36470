/**
 * The list of a rig in a variant (thin cloud, overcast …): its usual list with the few edits of
 * the variant that were kept. It is not stored: a settled list and edits that hold the values
 * themselves give the same in every release. The same rig gives the same list object, so that
 * what is derived from it is kept, too.
 */
import type { Cue } from "../model/cue.ts";
import type { Rig } from "../model/plan.ts";
import type { Variant } from "../model/vocabulary.ts";
import { withKeptEdits } from "./apply-edits.ts";

const kept = new WeakMap<Rig, Partial<Record<Variant, Rig>>>();

/** The rig as it is in a variant; "clear" and variants without edits give the rig itself. */
export function rigInVariant(rig: Rig, variant: Variant | "clear"): Rig {
  const edits = variant === "clear" ? undefined : rig.variants?.[variant];
  if (variant === "clear" || edits === undefined || edits.length === 0) return rig;
  const known = kept.get(rig) ?? {};
  const found = known[variant] ?? { ...rig, cues: variantCues(rig.cues, edits) };
  kept.set(rig, { ...known, [variant]: found });
  return found;
}

function variantCues(cues: readonly Cue[], edits: NonNullable<Rig["edits"]>): Cue[] {
  return withKeptEdits(cues, edits);
}
