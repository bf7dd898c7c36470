/**
 * What would come of a plan if it were saved, without saving it: every finding of the safety rules,
 * whether the hands there are can carry it out, and what each rig's equipment gives. Nothing but the
 * rules of safety stands in the way of saving; the rest is advice. Pure, in steps of some ms.
 */
import type { Steps } from "../../eclipse/steps.ts";
import { sunAt, sunDeclinationDeg, sunRadiusArcsec } from "../../eclipse/sun.ts";
import { utcMs } from "../../time/instants.ts";
import { type RigBudget, rigBudget } from "../budgets/rig-budget.ts";
import { handsOfRigs } from "../hands/hands-of-rigs.ts";
import { type HandsOfOperator, planHands } from "../hands/hands-plan.ts";
import type { LocalEclipse } from "../local-eclipse.ts";
import { NO_EQUIPMENT } from "../model/equipment.ts";
import type { Plan, PlanDraft, Rig } from "../model/plan.ts";
import { checkBetweenRigs } from "../safety/check-plan.ts";
import type { Finding, FindingCode } from "../safety/finding.ts";
import { settleRig } from "../settle-rig.ts";
import { type Advice, adviceOf } from "./advice.ts";
import type { AssessedMend } from "./apply-mend.ts";
import { mendsThatHold } from "./mends-that-hold.ts";

export interface AssessedFinding {
  code: string;
  rule?: string;
  rigId?: string;
  cueId?: string;
  field?: string;
  /** `refused` is never saved, `acknowledge` with a lead's name (S14), `advice` always. */
  severity: "refused" | "acknowledge" | "advice";
  message: string;
  data: Record<string, string | number>;
}

export type AssessedHands = Omit<HandsOfOperator, "mends"> & { mends: AssessedMend[] };

export interface Assessment {
  findings: AssessedFinding[];
  hands: AssessedHands[];
  budgets: Record<string, RigBudget>;
}

const ENDLESS: ReadonlySet<string> = new Set<FindingCode>(["too-many-repeats", "too-many-repeats-in-all"]);

/**
 * @param previous the plan saved last: what the draft leaves out is as it was there.
 * @param gets what the draft's site gets of its eclipse; `previousGets` the same for `previous`.
 */
export function* assessPlan(
  draft: PlanDraft,
  previous: Plan,
  gets: LocalEclipse,
  previousGets: LocalEclipse,
): Steps<Assessment> {
  const findings: AssessedFinding[] = [];
  const rigs: Rig[] = [];
  for (const [index, rig] of draft.rigs.entries()) {
    const settled = settleRig(rig, {
      before: previous.rigs.find(({ id }) => id === rig.id),
      index,
      gets,
      previousGets,
      acknowledged: draft.acknowledged.filter(({ rigId }) => rigId === rig.id),
      copied: false,
    });
    rigs.push(settled.rig);
    findings.push(...settled.findings.map(ofRule));
    yield;
  }
  findings.push(...checkBetweenRigs(rigs).map(ofRule));
  const { site } = draft;
  if (!site || gets.kind === "none" || gets.contacts.max === null)
    return { findings, hands: [], budgets: {} };

  const maxUtcMs = gets.contacts.max;
  const sky = {
    times: gets.contacts,
    sunRadiusArcsec: sunRadiusArcsec(maxUtcMs),
    maxAltitudeDeg: sunAt(utcMs(maxUtcMs), site).altitudeDeg,
    declinationDeg: sunDeclinationDeg(maxUtcMs),
    heightM: site.heightM,
  };
  const budgets: Record<string, RigBudget> = Object.create(null);
  for (const rig of rigs) {
    budgets[rig.id] = rigBudget(rig, rig.equipment ?? NO_EQUIPMENT, sky);
    yield;
  }
  // A rig whose cues come more often than any plan may have them is said above, and not gone through.
  const endless = new Set(findings.filter(({ code }) => ENDLESS.has(code)).map(({ rigId }) => rigId));
  const bounded = rigs.filter(({ id }) => !endless.has(id));
  const hands = yield* planHands(handsOfRigs(bounded, gets));
  const advice = adviceOf(rigs, budgets, hands, gets.contacts);
  findings.push(...advice.map(ofAdvice));
  const assessed: AssessedHands[] = [];
  for (const one of hands.map(withCues))
    assessed.push({ ...one, mends: yield* mendsThatHold(one.mends, rigs, gets) });
  return { findings, hands: assessed, budgets: { ...budgets } };
}

function ofRule(found: Finding): AssessedFinding {
  const { code, rule, rigId, cueId, field, severity, sentence, data, acknowledgedBy } = found;
  return {
    code,
    ...(rule !== "plan" && { rule }),
    rigId,
    ...(cueId !== undefined && { cueId }),
    field,
    severity: severity === "blocks" ? "refused" : acknowledgedBy === undefined ? "acknowledge" : "advice",
    message: rule === "plan" ? sentence : `${rule}: ${sentence}`,
    data: { ...data, ...(acknowledgedBy !== undefined && { acknowledgedBy }) },
  };
}

function ofAdvice({ code, rigId, cueId, message, data }: Advice): AssessedFinding {
  const at = { ...(rigId !== undefined && { rigId }), ...(cueId !== undefined && { cueId }) };
  return { code, ...at, severity: "advice", message, data };
}

/** Tasks of a stretch by the cues they come from; a series is dropped or moved as one cue. */
function withCues({ mends, ...hands }: HandsOfOperator): AssessedHands {
  return {
    ...hands,
    mends: mends.map(({ changes, slackS, of }) => ({
      slackS,
      changes: changes.map((change) => {
        if (change.kind === "hand-over") return change;
        const { rigId, cueId } = of.find(({ id }) => id === change.taskId) as (typeof of)[number];
        return change.kind === "drop"
          ? { kind: "drop", rigId, cueId }
          : { kind: "earlier", rigId, cueId, byS: change.byS };
      }),
    })),
  };
}
