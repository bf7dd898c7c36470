/** What a check of the plan found, in words; advice with its times and phenomena as people read them. */
import "../../../words/bundles/planner.ts";
import { PHENOMENA } from "../../../../shared/budget/phenomena.ts";
import type { AssessedFinding } from "../../../../shared/plan/assess/assess-plan.ts";
import { clockText } from "../../../parts/time-format.ts";
import { t, type WordValues } from "../../../words/words.ts";
import { findingText } from "../plan-answers.tsx";

export function assessedText({ code, rule, message, data }: AssessedFinding): string {
  return findingText({ code, rule: rule ?? "plan", sentence: message, data: spoken(data) });
}

function spoken(data: AssessedFinding["data"]): WordValues {
  const { atUtcMs, phenomena } = data;
  return {
    ...data,
    ...(typeof atUtcMs === "number" && { time: `${clockText(atUtcMs)} UTC` }),
    ...(typeof phenomena === "string" && { what: phenomenaWords(phenomena.split(", ")) }),
  };
}

function phenomenaWords(names: readonly string[]): string {
  return PHENOMENA.filter((name) => names.includes(name))
    .map((name) => t(`phenomenon.${name}`))
    .join(", ");
}

/** Of this rig: what the list of hands says of people is not repeated. */
export function findingsOfRig(findings: readonly AssessedFinding[], rigId: string): AssessedFinding[] {
  return findings.filter((one) => one.rigId === rigId);
}
