/**
 * What a check of a plan may find. A finding names the rule, the rig, the cue and the field, so
 * that a page can put it beside the right input; `code` with `data` is the message key
 * `finding.<code>` and its values.
 */
import { OCCURRENCES_MOST, RIG_OCCURRENCES_MOST } from "../cue-times.ts";
import type { Rig } from "../model/plan.ts";
import { RULES, type RuleNumber } from "./rules.ts";

export const FINDING_CODES = [
  "duplicate-rig-id",
  "duplicate-rig-name",
  "duplicate-cue-id",
  "cue-without-words",
  "too-many-repeats",
  "too-many-repeats-in-all",
  "no-filter-to-take-off",
  "no-filter-on-optics",
  "filter-off-never",
  "filter-off-anchor",
  "filter-off-too-early",
  "filter-off-too-late",
  "filter-on-missing",
  "filter-on-too-late",
  "totality-too-short",
  "eyes-away-missing",
  "eyes-away-too-late",
  "filter-off-left-alone",
  "cap-missing",
  "cap-too-late",
  "uncapped-too-early",
  "look-up-outside-totality",
  "eyes-down-missing",
  "glasses-on-too-late",
  "variant-safe-cue",
] as const;
export type FindingCode = (typeof FINDING_CODES)[number];

export interface Finding {
  /** The safety rule; "plan" for what makes a plan unreadable rather than unsafe. */
  rule: RuleNumber | "plan";
  /** `blocks` can never be saved; `acknowledge` can when a lead puts their name to it (S14). */
  severity: "blocks" | "acknowledge";
  code: FindingCode;
  rigId: string;
  cueId?: string;
  /** Path into the plan, e.g. "rigs.2.cues.5.offsetS". */
  field: string;
  /** The sentence of the rule, English. */
  sentence: string;
  data: Record<string, string | number>;
  /** Who has acknowledged it; absent when nobody has. */
  acknowledgedBy?: string;
}

const PLAN_SENTENCES: Partial<Record<FindingCode, string>> = {
  "duplicate-rig-id": "Every rig has an id of its own.",
  "duplicate-rig-name": "Every rig has a name of its own.",
  "duplicate-cue-id": "Every cue of a rig has an id of its own.",
  "cue-without-words": "A cue has words: those of its key or the lead's own.",
  "too-many-repeats": `A cue comes at most ${OCCURRENCES_MOST} times.`,
  "too-many-repeats-in-all": `The cues of a rig come at most ${RIG_OCCURRENCES_MOST} times in all.`,
  "no-filter-to-take-off": "A rig without a filter by design has none to take off.",
};

/** Where a finding is: the rig and its place in the plan, and the cue's if it is one cue's. */
export interface Spot {
  rig: Pick<Rig, "id" | "name">;
  rigIndex: number;
  cue?: { id: string; index: number };
  /** Field of the cue, or of the rig when there is no cue. */
  at: string;
}

export function finding(
  rule: Finding["rule"],
  code: FindingCode,
  spot: Spot,
  data: Finding["data"] = {},
  severity?: Finding["severity"],
): Finding {
  const path = spot.cue === undefined ? "" : `cues.${spot.cue.index}.`;
  return {
    rule,
    severity: severity ?? (rule !== "plan" && RULES[rule].kind === "sensor" ? "acknowledge" : "blocks"),
    code,
    rigId: spot.rig.id,
    ...(spot.cue === undefined ? {} : { cueId: spot.cue.id }),
    field: `rigs.${spot.rigIndex}.${path}${spot.at}`,
    sentence: rule === "plan" ? (PLAN_SENTENCES[code] ?? "The plan cannot be read.") : RULES[rule].sentence,
    data: { rig: spot.rig.name, ...data },
  };
}
