/**
 * Checks a whole plan against the safety rules for what its site gets. Pure; an empty answer
 * means the plan may be saved. Rules that only a run can break (S5–S11, S15) are not here.
 *
 * S14: findings of an eye rule block; those of a sensor rule may be acknowledged by name in
 * `plan.acknowledged`, and then carry that name.
 */

import type { LocalEclipse } from "../local-eclipse.ts";
import type { Plan, Rig } from "../model/plan.ts";
import { rigNameKey } from "../model/rig-name.ts";
import { checkEyeCues } from "./check-eye-cues.ts";
import { checkFilterCues } from "./check-filter-cues.ts";
import { checkRepeats } from "./check-repeats.ts";
import { type Finding, finding } from "./finding.ts";

/** All findings, acknowledged ones too, in the order of rigs; see `openFindings`. */
export function checkPlan(plan: Pick<Plan, "rigs" | "acknowledged">, gets: LocalEclipse): Finding[] {
  const found = [
    ...checkRigIds(plan.rigs),
    ...checkRigNames(plan.rigs),
    ...plan.rigs.flatMap((rig, index) => checkRig(rig, index, gets)),
  ];
  return found.map((one) => {
    if (one.severity !== "acknowledge") return one;
    const by = plan.acknowledged.find((ack) => ack.rule === one.rule && ack.rigId === one.rigId)?.by;
    return by === undefined ? one : { ...one, acknowledgedBy: by };
  });
}

/** What still stands in the way of saving. */
export function openFindings(findings: readonly Finding[]): Finding[] {
  return findings.filter((one) => one.severity === "blocks" || one.acknowledgedBy === undefined);
}

/** The findings of one rig at place `rigIndex` of the plan; acknowledgements are not looked at. */
export function checkRig(rig: Rig, rigIndex: number, gets: LocalEclipse): Finding[] {
  return [
    ...checkCues(rig, rigIndex),
    ...checkRepeats(rig, rigIndex, gets),
    ...checkFilterCues(rig, rigIndex, gets),
    ...checkEyeCues(rig, rigIndex, gets),
  ];
}

function checkRigIds(rigs: readonly Rig[]): Finding[] {
  return repeated(rigs, (rig) => rig.id).map(([rig, rigIndex]) =>
    finding("plan", "duplicate-rig-id", { rig, rigIndex, at: "id" }, { id: rig.id }),
  );
}

/** On join sheets, phones and the array a rig is known by its name alone. */
function checkRigNames(rigs: readonly Rig[]): Finding[] {
  return repeated(rigs, (rig) => rigNameKey(rig.name)).map(([rig, rigIndex]) =>
    finding("plan", "duplicate-rig-name", { rig, rigIndex, at: "name" }),
  );
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
function repeated<Item>(items: readonly Item[], keyOf: (item: Item) => string): [Item, number][] {
  const seen = new Set<string>();
  return items.flatMap((item, index): [Item, number][] => {
    const key = keyOf(item);
    if (seen.has(key)) return [[item, index]];
    seen.add(key);
    return [];
  });
}
