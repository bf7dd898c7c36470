/**
 * A whole plan, parsed in pieces between which the hub passes on calls and reports: a hundred rigs
 * with all that may be set take a tenth of a second. Refuses as `parse` does, with the same field.
 */
import type { Steps } from "../../shared/eclipse/steps.ts";
import {
  type PlanDraft,
  PlanDraftSchema,
  type RigDraft,
  RigDraftSchema,
} from "../../shared/plan/model/plan.ts";
import { parse } from "../../shared/run/orders/commands.ts";
import type { Refusal } from "../../shared/run/orders/refusal.ts";
import { withRests } from "../with-rests.ts";

type Parsed = { ok: true; value: PlanDraft } | { ok: false; refusal: Refusal };

export function parsePlan(input: unknown): Promise<Parsed> {
  return withRests(parseSteps(input));
}

function* parseSteps(input: unknown): Steps<Parsed> {
  const given = (input as { rigs?: unknown }).rigs;
  const most = PlanDraftSchema.entries.rigs.wrapped.pipe[1].requirement;
  // What is no list, or far too long a one, is refused as a whole.
  if (!Array.isArray(given) || given.length > most) return parse(PlanDraftSchema, input);
  const rest = parse(PlanDraftSchema, { ...(input as object), rigs: [] });
  if (!rest.ok) return rest;
  const rigs: RigDraft[] = [];
  for (const [index, item] of given.entries()) {
    const parsed = parse(RigDraftSchema, item);
    if (!parsed.ok) return { ok: false, refusal: within(`rigs.${index}`, parsed.refusal) };
    rigs.push(parsed.value);
    yield;
  }
  return { ok: true, value: { ...rest.value, rigs } };
}

function within(path: string, { field, message, ...why }: Refusal): Refusal {
  if (field === undefined) return { ...why, message: `${path} ${message}`, field: path };
  return { ...why, message: `${path}.${message}`, field: `${path}.${field}` };
}
