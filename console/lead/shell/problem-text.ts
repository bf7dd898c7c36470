/**
 * A refusal in plain words of the reader's language, by its code. What the hub found wrong with a
 * value is said in its own words, in English, after ours: nothing is hidden.
 */
import type { Refusal } from "../../../shared/run/orders/refusal.ts";
import { isWordKey, t } from "../../words/words.ts";
import type { Problem } from "./hub-api.ts";

export function problemText(problem: Pick<Problem, "code" | "message" | "rule" | "data">): string {
  const { code, message, rule, data } = problem;
  // Which rig keeps a plan from being saved, and why.
  const open = `lead.problem.save-${String(data?.reason)}`;
  if (isWordKey(open)) return t(open, { rig: String(data?.rig) });
  if (rule) return ruleText(rule, message);
  const status = /^http-(\d+)$/.exec(code)?.[1];
  if (status) return t("lead.problem.http", { status });
  const key = `lead.problem.${code}`;
  return isWordKey(key) ? t(key, { message }) : message;
}

/** Why an order was refused. A call's refusal says which half of its rule it was. */
export function refusalText(refusal: Refusal): string {
  const key = `lead.problem.call-${String(refusal.data?.reason)}`;
  return isWordKey(key) ? t(key) : problemText(refusal);
}

/** "A camera nobody looks through …": the whole sentence; its number means nothing to people. */
export function ruleText(rule: string, fallback: string): string {
  const key = `rule.${rule}`;
  return isWordKey(key) ? t(key) : fallback;
}
