/**
 * From what a lead wants to save to the plan that is saved, or a refusal. Pure.
 *
 * - A rig that comes without cues gets the default list for what its site gets.
 * - A rig whose cues came back unchanged, while the site or the rig itself changed, gets its list
 *   derived anew; the lead's edits are carried over where the rules allow (carry-edits.ts) and
 *   otherwise listed in the notes.
 * - Cues that the lead changed in this very save stand as they are, and must pass.
 * - Any finding that blocks, or that nobody has acknowledged, refuses the whole save: nothing is
 *   half-saved. Acknowledgements that no finding asks for any more are taken out.
 */

import { cueDueMs, hangsOnContacts } from "./cue-times.ts";
import { defaultCues } from "./defaults/default-cues.ts";
import { carryEdits, same } from "./edits/carry-edits.ts";
import type { LocalEclipse } from "./local-eclipse.ts";
import type { Cue, Plan, PlanDraft, Rig, RigDraft } from "./model/plan.ts";
import { checkPlan, checkRig, openFindings } from "./safety/check-plan.ts";
import type { Finding } from "./safety/finding.ts";

export const PLAN_NOTES = [
  "cues-derived",
  "cues-reset",
  "edit-dropped",
  "cue-dropped",
  "cue-renamed",
  "cue-without-contact",
  "acknowledgement-dropped",
] as const;

/** What a save did besides what was asked; message key `plan-note.<code>`. */
export interface PlanNote {
  code: (typeof PLAN_NOTES)[number];
  rigId: string;
  cueId?: string;
  field?: string;
  data: Record<string, string | number>;
}

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
 */
export function settlePlan(
  draft: PlanDraft,
  previous: Plan,
  gets: LocalEclipse,
  previousGets: LocalEclipse,
): SettledPlan {
  const notes: PlanNote[] = [];
  const rigs = draft.rigs.map((rig): Rig => {
    const before = previous.rigs.find(({ id }) => id === rig.id);
    const settled = settleRig(rig, before, gets, previousGets, draft.acknowledged);
    notes.push(...settled.notes);
    return settled.rig;
  });
  const { group, eclipse, site, limb } = draft;
  const revision = previous.revision + 1;
  const plan: Plan = { revision, group, eclipse, site, limb, acknowledged: draft.acknowledged, rigs };
  const findings = checkPlan(plan, gets);
  const open = openFindings(findings);
  const worst = open.find((one) => one.severity === "blocks") ?? open[0];
  if (worst !== undefined) return { refusal: refusal(worst, open) };

  const asked = (rule: string, rigId: string) =>
    findings.some((one) => one.severity === "acknowledge" && one.rule === rule && one.rigId === rigId);
  const acknowledged = plan.acknowledged.filter((ack) => asked(ack.rule, ack.rigId));
  for (const ack of plan.acknowledged)
    if (!acknowledged.includes(ack))
      notes.push({
        code: "acknowledgement-dropped",
        rigId: ack.rigId,
        data: { rule: ack.rule, by: ack.by },
      });
  return { plan: { ...plan, acknowledged }, notes };
}

function settleRig(
  { cues, ...fields }: RigDraft,
  before: Rig | undefined,
  gets: LocalEclipse,
  previousGets: LocalEclipse,
  acknowledged: Plan["acknowledged"],
): { rig: Rig; notes: PlanNote[] } {
  const rigId = fields.id;
  const defaults = defaultCues(fields, gets);
  const notes: PlanNote[] = [];
  const done = (list: Cue[]) => {
    const rig: Rig = { ...fields, cues: list };
    if (gets.kind !== "none")
      for (const cue of list)
        if (cue.on && hangsOnContacts(cue) && cueDueMs(cue, gets.contacts) === null)
          notes.push({ code: "cue-without-contact", rigId, cueId: cue.id, data: { anchor: cue.anchor } });
    return { rig, notes };
  };

  const oldDefaults = before === undefined ? [] : defaultCues(before, previousGets);
  if (cues === undefined) {
    if (before !== undefined && !same(before.cues, oldDefaults))
      notes.push({ code: "cues-reset", rigId, data: {} });
    return done(defaults);
  }
  if (before === undefined || !same(cues, before.cues)) return done(cues);
  if (same(gets, previousGets) && same(optics(fields), optics(before))) return done(cues);

  const carried = carryEdits(cues, oldDefaults, defaults, (list) => {
    const rig: Rig = { ...fields, cues: list };
    const found = checkPlan({ rigs: [rig], acknowledged }, gets);
    const base = checkRig({ ...fields, cues: defaults }, 0, gets);
    return openFindings(found).every((one) => base.some((had) => had.code === one.code));
  });
  const list = same(defaults, oldDefaults) ? keepOrder(carried.cues, cues) : byTime(carried.cues, gets);
  if (!same(list, cues)) notes.push({ code: "cues-derived", rigId, data: {} });
  notes.push(...carried.dropped.map((one) => ({ ...one, rigId })));
  return done(list);
}

/** What of a rig its default list depends on. */
function optics(rig: Omit<Rig, "cues">) {
  const { kind, lookedThrough, publicQueue, unattended, focalLengthMm, filter } = rig;
  return { kind, lookedThrough, publicQueue, unattended, focalLengthMm, filter };
}

/** Sorted by time; cues without a time at this site come last. */
function byTime(cues: readonly Cue[], gets: LocalEclipse): Cue[] {
  const at = (cue: Cue) => cueDueMs(cue, gets.contacts) ?? Number.MAX_VALUE;
  return [...cues].sort((a, b) => at(a) - at(b));
}

function keepOrder(cues: readonly Cue[], like: readonly Cue[]): Cue[] {
  const place = new Map(like.map(({ id }, index) => [id, index]));
  const at = (cue: Cue) => place.get(cue.id) ?? like.length;
  return [...cues].sort((a, b) => at(a) - at(b));
}

function refusal(worst: Finding, open: Finding[]): PlanRefusal {
  const where = `rig "${worst.data.rig ?? worst.rigId}"${worst.cueId === undefined ? "" : `, cue "${worst.cueId}"`}`;
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
