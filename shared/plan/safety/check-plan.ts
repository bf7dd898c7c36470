/**
 * Checks a whole plan against the safety rules for what its site gets. Pure; an empty answer
 * means the plan may be saved. Rules that only a run can break (S5–S11, S15) are not here, but for
 * what S9 asks of variants.
 *
 * S14: findings of an eye rule block; those of a sensor rule may be acknowledged by name in
 * `plan.acknowledged`, and then carry that name.
 */
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Plan, Rig } from "../model/plan.ts";
import { rigNameKey } from "../model/rig-name.ts";
import { checkRig, repeated } from "./check-rig.ts";
import { checkVariants } from "./check-variant.ts";
import { type Finding, finding } from "./finding.ts";

/** All findings, acknowledged ones too, in the order of rigs; see `openFindings`. */
export function checkPlan(plan: Pick<Plan, "rigs" | "acknowledged">, gets: LocalEclipse): Finding[] {
  const ofRigs = plan.rigs.flatMap((rig, index) => checkWholeRig(rig, index, gets));
  return [...checkBetweenRigs(plan.rigs), ...withAcknowledgements(ofRigs, plan.acknowledged)];
}

/** The findings of a rig's usual list and of its variants'; acknowledgements are not looked at. */
export function checkWholeRig(rig: Rig, rigIndex: number, gets: LocalEclipse): Finding[] {
  return [...checkRig(rig, rigIndex, gets), ...checkVariants(rig, rigIndex, gets)];
}

/** What rigs may not have in common: on join sheets, phones and the array they are known by names. */
export function checkBetweenRigs(rigs: readonly Rig[]): Finding[] {
  return [
    ...repeated(rigs, (rig) => rig.id).map(([rig, rigIndex]) =>
      finding("plan", "duplicate-rig-id", { rig, rigIndex, at: "id" }, { id: rig.id }),
    ),
    ...repeated(rigs, (rig) => rigNameKey(rig.name)).map(([rig, rigIndex]) =>
      finding("plan", "duplicate-rig-name", { rig, rigIndex, at: "name" }),
    ),
  ];
}

/** Findings with the names of those who acknowledged them (S14). */
export function withAcknowledgements(
  findings: readonly Finding[],
  acknowledged: Plan["acknowledged"],
): Finding[] {
  return findings.map((one) => {
    if (one.severity !== "acknowledge") return one;
    const by = acknowledged.find((ack) => ack.rule === one.rule && ack.rigId === one.rigId)?.by;
    return by === undefined ? one : { ...one, acknowledgedBy: by };
  });
}

/** What still stands in the way of saving. */
export function openFindings(findings: readonly Finding[]): Finding[] {
  return findings.filter((one) => one.severity === "blocks" || one.acknowledgedBy === undefined);
}
