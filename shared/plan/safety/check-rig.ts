/** The findings of one list of a rig; acknowledgements are not looked at. Pure. */
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Rig } from "../model/plan.ts";
import { checkEyeCues } from "./check-eye-cues.ts";
import { checkFilterCues } from "./check-filter-cues.ts";
import { checkRepeats } from "./check-repeats.ts";
import { type Finding, finding } from "./finding.ts";

/** @param rigIndex its place in the plan, for the fields of findings. */
export function checkRig(rig: Rig, rigIndex: number, gets: LocalEclipse): Finding[] {
  return [
    ...checkCues(rig, rigIndex),
    ...checkRepeats(rig, rigIndex, gets),
    ...checkFilterCues(rig, rigIndex, gets),
    ...checkEyeCues(rig, rigIndex, gets),
  ];
}

function checkCues(rig: Rig, rigIndex: number): Finding[] {
  const twice = new Set(repeated(rig.cues, (cue) => cue.id).map(([, index]) => index));
  return rig.cues.flatMap((cue, index) => {
    const spot = { rig, rigIndex, cue: { id: cue.id, index } };
    const found: Finding[] = [];
    if (twice.has(index))
      found.push(finding("plan", "duplicate-cue-id", { ...spot, at: "id" }, { id: cue.id }));
    if (cue.key === null && (cue.say === null || cue.say === ""))
      found.push(finding("plan", "cue-without-words", { ...spot, at: "say" }, { id: cue.id }));
    return found;
  });
}

/** The items whose key an earlier one has already, with their places. */
export function repeated<Item>(items: readonly Item[], keyOf: (item: Item) => string): [Item, number][] {
  const seen = new Set<string>();
  return items.flatMap((item, index): [Item, number][] => {
    const key = keyOf(item);
    if (seen.has(key)) return [[item, index]];
    seen.add(key);
    return [];
  });
}
