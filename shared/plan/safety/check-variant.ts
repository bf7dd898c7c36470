/**
 * Variants obey every rule that the usual list obeys, and one more (S9): what makes things safe is
 * in every variant as it is in the usual list. A lead names a variant while things are under way,
 * so a filter may be open that the usual list opened; its filter-on, eyes-away, glasses and cap
 * must come, at the same time.
 */
import { same } from "../edits/same.ts";
import { rigInVariant } from "../edits/variant-cues.ts";
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Cue } from "../model/cue.ts";
import type { Rig } from "../model/plan.ts";
import { VARIANTS, type Variant } from "../model/vocabulary.ts";
import { isFilterOff } from "./check-filter-cues.ts";
import { checkRig } from "./check-rig.ts";
import { type Finding, finding } from "./finding.ts";
import { makesSafeCue, SAFE_ACTIONS } from "./safe-cues.ts";

/** Findings of all variants of a rig. */
export function checkVariants(rig: Rig, rigIndex: number, gets: LocalEclipse): Finding[] {
  return VARIANTS.flatMap((variant) => {
    const there = rigInVariant(rig, variant);
    return there === rig ? [] : checkVariant(rig, rigIndex, gets, variant, there.cues);
  });
}

/** Findings of one variant's list, with the variant in field and data. */
export function checkVariant(
  rig: Rig,
  rigIndex: number,
  gets: LocalEclipse,
  variant: Variant,
  cues: Cue[],
): Finding[] {
  const found = [...checkRig({ ...rig, cues }, rigIndex, gets), ...checkSafeCues(rig, rigIndex, cues)];
  return found.map((one) => ({
    ...one,
    field: one.field.replace(/\.cues\.\d+\./, `.variants.${variant}.${one.cueId}.`),
    data: { ...one.data, variant },
  }));
}

function checkSafeCues(rig: Rig, rigIndex: number, cues: readonly Cue[]): Finding[] {
  return rig.cues.flatMap((cue, index) => {
    // One that makes safe by what it is may not go either where its words send eyes up.
    const safe = makesSafeCue(cue) || (SAFE_ACTIONS.has(cue.action) && !isFilterOff(cue));
    if (!cue.on || !safe) return [];
    const there = cues.find(({ id }) => id === cue.id);
    if (there !== undefined && same(asTimed(cue), asTimed(there))) return [];
    return [
      finding(
        "S9",
        "variant-safe-cue",
        { rig, rigIndex, cue: { id: cue.id, index }, at: "on" },
        { cue: cue.id },
      ),
    ];
  });
}

/** All but words, camera, and how long it keeps hands busy. */
function asTimed({ say: _say, handsS: _handsS, camera: _camera, ...timed }: Cue): Partial<Cue> {
  return timed;
}
