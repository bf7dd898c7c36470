/**
 * A refusal in plain words of the reader's language. Codes without words of ours show what the
 * hub said, in English, so that nothing is hidden.
 */
import { isWordKey, t } from "../../words/words.ts";
import type { Problem } from "./hub-api.ts";

export function problemText(problem: Pick<Problem, "code" | "message" | "rule">): string {
  if (problem.rule) return ruleText(problem.rule, problem.message);
  const key = `lead.problem.${problem.code}`;
  return isWordKey(key) ? t(key) : problem.message;
}

/** "S4: A camera nobody looks through …": the number and the whole sentence. */
export function ruleText(rule: string, fallback: string): string {
  const key = `rule.${rule}`;
  return isWordKey(key) ? t("lead.problem.rule", { rule, sentence: t(key) }) : fallback;
}
