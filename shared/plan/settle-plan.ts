/**
 * From what a lead wants to save to what is saved, or a refusal. Pure.
 *
 * Rigs are settled one by one (settle-rig.ts), those alone that the save concerns: where neither
 * the rig nor what its site gets has changed, the very rig of before stays. Any finding that
 * blocks, or that nobody has acknowledged, refuses the whole save: nothing is half-saved.
 * Acknowledgements that no finding asks for any more are taken out.
 */
import { atOnce, type Steps } from "../eclipse/steps.ts";
import { same } from "./edits/same.ts";
import type { LocalEclipse } from "./local-eclipse.ts";
import type { Plan, PlanDraft, Rig, RigDraft } from "./model/plan.ts";
import type { PlanNote } from "./plan-note.ts";
import { checkBetweenRigs, openFindings } from "./safety/check-plan.ts";
import type { Finding } from "./safety/finding.ts";
import { settleRig } from "./settle-rig.ts";

export interface PlanRefusal {
  /** `breaks-rule`, `needs-acknowledgement`, or the code of a "plan" finding. */
  code: string;
  rule?: string;
  field: string;
  /** English: rule number, its sentence, rig and cue. */
  message: string;
  data: { findings: Finding[] };
}

export type SettledPlan = { plan: Plan; notes: PlanNote[] } | { refusal: PlanRefusal };

/**
 * @param previous the plan saved last (EMPTY_PLAN at first); the revision is counted from it.
 * @param gets what the draft's site gets of the draft's eclipse.
 * @param previousGets the same for the previous plan.
 * @param copied whether edits that are new were copied from another rig: then those that the rules
 *   forbid on this one do not refuse the save, but stay with it as such.
 */
export function settlePlan(...args: Parameters<typeof settlePlanSteps>): SettledPlan {
  return atOnce(settlePlanSteps(...args));
}

/** The same with a rest after each rig that has to be settled: sixty of them take tens of ms. */
export function* settlePlanSteps(
  draft: PlanDraft,
  previous: Plan,
  gets: LocalEclipse,
  previousGets: LocalEclipse,
  { copied = false }: { copied?: boolean } = {},
): Steps<SettledPlan> {
  const sameGets = gets === previousGets || same(gets, previousGets);
  const known = new Map(previous.rigs.map((rig) => [rig.id, rig]));
  const findings: Finding[] = [];
  const notes: PlanNote[] = [];
  const acknowledged: Plan["acknowledged"] = [];
  const rigs: Rig[] = [];
  for (const [index, rig] of draft.rigs.entries()) {
    const before = known.get(rig.id);
    const names = draft.acknowledged.filter(({ rigId }) => rigId === rig.id);
    const namesBefore = previous.acknowledged.filter(({ rigId }) => rigId === rig.id);
    if (before !== undefined && sameGets && asBefore(rig, before) && same(names, namesBefore)) {
      acknowledged.push(...names);
      rigs.push(before);
      continue;
    }
    const settled = settleRig(rig, { before, index, gets, previousGets, acknowledged: names, copied });
    findings.push(...settled.findings);
    notes.push(...settled.notes);
    acknowledged.push(...settled.acknowledged);
    rigs.push(before !== undefined && same(settled.rig, before) ? before : settled.rig);
    yield;
  }
  const open = [...checkBetweenRigs(rigs), ...openFindings(findings)];
  // What harms an eye is named before what is merely badly written.
  const blocks = open.filter((one) => one.severity === "blocks");
  const worst = blocks.find((one) => one.rule !== "plan") ?? blocks[0] ?? open[0];
  if (worst !== undefined) return { refusal: refusal(worst, open) };
  for (const { rule, rigId, by } of draft.acknowledged)
    if (!rigs.some(({ id }) => id === rigId))
      notes.push({ code: "acknowledgement-dropped", rigId, data: { rule, by } });
  const { group, eclipse, site, limb } = draft;
  return { plan: { revision: previous.revision + 1, group, eclipse, site, limb, acknowledged, rigs }, notes };
}

/** Whether a draft asks for nothing that the rig is not: what it leaves out stays as it is. */
function asBefore(draft: RigDraft, before: Rig): boolean {
  if (draft === before) return true;
  if (draft.cues === undefined) return false;
  return Object.entries(draft).every(
    ([field, value]) => value === undefined || same(value, before[field as keyof Rig]),
  );
}

function refusal(worst: Finding, open: Finding[]): PlanRefusal {
  const cue = worst.cueId === undefined ? "" : `, cue "${worst.cueId}"`;
  const variant = worst.data.variant === undefined ? "" : `, variant "${worst.data.variant}"`;
  const where = `rig "${worst.data.rig ?? worst.rigId}"${cue}${variant}`;
  if (worst.rule === "plan")
    return {
      code: worst.code,
      field: worst.field,
      message: `${worst.sentence} (${where})`,
      data: { findings: open },
    };
  return {
    code: worst.severity === "blocks" ? "breaks-rule" : "needs-acknowledgement",
    rule: worst.rule,
    field: worst.field,
    message: `${worst.rule}: ${worst.sentence} (${where})`,
    data: { findings: open },
  };
}
