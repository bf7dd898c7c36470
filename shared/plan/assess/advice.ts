/** What is worth knowing before a plan is saved, and stands in nobody's way. */
import type { RigBudget } from "../budgets/rig-budget.ts";
import type { AnchorTimes } from "../cue-times.ts";
import type { HandsOfOperator } from "../hands/hands-plan.ts";
import type { Rig } from "../model/plan.ts";

export const ADVICE_CODES = [
  "hands-too-few",
  "hands-tight",
  "hands-alone",
  "card-full-early",
  "battery-short",
  "bracket-too-long",
  "exposure-off-camera",
] as const;

export interface Advice {
  code: (typeof ADVICE_CODES)[number];
  rigId?: string;
  cueId?: string;
  /** English; pages have words of their own by code. */
  message: string;
  data: Record<string, string | number>;
}

/** Less to spare than this is tight, s: common practice, no source. */
const TIGHT_S = 3;

export function adviceOf(
  rigs: readonly Pick<Rig, "id" | "name" | "cues">[],
  budgets: Readonly<Record<string, RigBudget>>,
  hands: readonly HandsOfOperator[],
  times: AnchorTimes,
): Advice[] {
  const advice: Advice[] = [];
  for (const { operator, rigIds, feasible, slackS, dropped } of hands) {
    const names = rigs.filter(({ id }) => rigIds.includes(id)).map(({ name }) => name);
    const who = operator === "" ? names.join(", ") : operator;
    if (!feasible)
      advice.push({
        code: "hands-too-few",
        message: `One pair of hands (${who}) cannot do all of this in time: ${dropped.length} left undone.`,
        data: { operator: who, rigs: names.join(", "), undone: dropped.length },
      });
    else if (slackS !== null && slackS < TIGHT_S)
      advice.push({
        code: "hands-tight",
        message: `The hands of ${who} have ${slackS} s to spare.`,
        data: { operator: who, slackS },
      });
  }
  // Two of one person there are not.
  if (hands.length === 1)
    for (const { id, name, cues } of rigs)
      for (const cue of cues.filter(({ on, people }) => on && people === 2))
        advice.push({
          code: "hands-alone",
          rigId: id,
          cueId: cue.id,
          message: `${name}: this takes two people, and the plan names one only.`,
          data: { rig: name },
        });
  const endMs = times.c4;
  for (const { id, name } of rigs) {
    const budget = budgets[id];
    if (!budget) continue;
    const early = (at: number | null) => at !== null && endMs !== null && at < endMs;
    const add = (code: Advice["code"], message: string, data: Advice["data"] = {}) =>
      advice.push({ code, rigId: id, message, data: { rig: name, ...data } });
    if (early(budget.cardFullAtUtcMs))
      add("card-full-early", `${name}: the card is full before C4.`, {
        atUtcMs: budget.cardFullAtUtcMs as number,
      });
    if (early(budget.batteryEndsAtUtcMs))
      add("battery-short", `${name}: the battery ends before C4.`, {
        atUtcMs: budget.batteryEndsAtUtcMs as number,
      });
    if (budget.bracket?.fits === 0)
      add("bracket-too-long", `${name}: a bracket over the corona takes longer than totality leaves.`, {
        lengthS: Math.round(budget.bracket.lengthS),
      });
    const off = budget.exposure.filter(({ offStops }) => offStops > 0).map(({ phenomenon }) => phenomenon);
    if (off.length > 0)
      add(
        "exposure-off-camera",
        `${name}: the shortest time of the camera is too long for ${off.join(", ")}.`,
        {
          phenomena: off.join(", "),
        },
      );
  }
  return advice;
}
