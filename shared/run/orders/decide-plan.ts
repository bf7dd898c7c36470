/**
 * Decides what a lead saves of the plan. Each part (the site's, and every rig) has a revision of
 * its own, so that two leads at different rigs do not collide; the plan's rises with every save.
 * Events carry one part. A whole plan is taken apart into the parts that differ. Pure.
 */
import type { Circumstances } from "../../eclipse/circumstances-types.ts";
import { atOnce, type Steps } from "../../eclipse/steps.ts";
import { ownValue } from "../../fields/own-key.ts";
import { asMeant, standingEdits, takenBack } from "../../plan/edits/edit-list.ts";
import { same } from "../../plan/edits/same.ts";
import { localEclipse } from "../../plan/local-eclipse.ts";
import type { Edit } from "../../plan/model/edit.ts";
import type { Plan, PlanDraft, Rig, RigDraft, Site, SitePart } from "../../plan/model/plan.ts";
import { samePlace, sameSky } from "../../plan/model/same-place.ts";
import { VARIANTS } from "../../plan/model/vocabulary.ts";
import { type PlanRefusal, settlePlanSteps } from "../../plan/settle-plan.ts";
import { contactsMoved } from "../effective-contacts.ts";
import type { EventDraft } from "../logged-event.ts";
import { practiceAt } from "../run-time.ts";
import { type PartMark, REAL_RUN, type SiteState } from "../state.ts";
import type { Order } from "./commands.ts";
import { type Context, type Decision, draftOf, no } from "./decision.ts";
import { openFilterRefusal } from "./open-filters.ts";
import { type Refusal, refusal } from "./refusal.ts";

export type PlanOrder = Extract<
  Order,
  { type: "savePlan" | "saveSite" | "saveRig" | "removeRig" | "takeBackEdit" | "copyEdits" }
>;

export function decidePlan(state: SiteState, order: PlanOrder, context: Context): Decision {
  return atOnce(decidePlanSteps(state, order, context));
}

/** The same with rests, for whoever has other work, too. */
export function* decidePlanSteps(state: SiteState, order: PlanOrder, context: Context): Steps<Decision> {
  const { plan, planParts } = state;
  switch (order.type) {
    case "savePlan": {
      const { ifRevision, draft } = order;
      if (ifRevision !== plan.revision) return stale("the plan", plan.revision, ifRevision, planParts.last);
      return yield* save(state, draft, context);
    }
    case "saveSite": {
      const at = planParts.site?.revision ?? 0;
      if (order.ifRevision !== at) return stale("the site's part", at, order.ifRevision, planParts.site);
      return yield* save(state, { ...plan, ...order.part }, context);
    }
    case "saveRig": {
      const conflict = staleRig(state, order.rig.id, order.ifRevision);
      if (conflict) return conflict;
      const names = order.acknowledged?.map((one) => ({ ...one, rigId: order.rig.id }));
      return yield* save(state, withRig(plan, order.rig, names), context);
    }
    case "removeRig": {
      if (!rigOf(plan, order.rigId)) return unknown("rigId");
      const rigs = plan.rigs.filter(({ id }) => id !== order.rigId);
      const acknowledged = plan.acknowledged.filter(({ rigId }) => rigId !== order.rigId);
      return (
        staleRig(state, order.rigId, order.ifRevision) ??
        (yield* save(state, { ...plan, rigs, acknowledged }, context))
      );
    }
    case "takeBackEdit":
      return yield* takeBack(state, order, context);
    case "copyEdits":
      return yield* copy(state, order, context);
  }
}

function* takeBack(
  state: SiteState,
  { rigId, variant, ifRevision }: Extract<Order, { type: "takeBackEdit" }>,
  context: Context,
): Steps<Decision> {
  const rig = rigOf(state.plan, rigId);
  if (!rig) return unknown("rigId");
  const conflict = staleRig(state, rigId, ifRevision);
  if (conflict) return conflict;
  const edits = (variant === "clear" ? rig.edits : rig.variants?.[variant]) ?? [];
  if (edits.length === 0) return no("not-found", "there is no edit to take back", { field: "rigId" });
  const { cues: _cues, ...draft } = rig;
  const left = takenBack(edits);
  const changed: RigDraft =
    variant === "clear"
      ? { ...draft, edits: left }
      : { ...rig, variants: { ...rig.variants, [variant]: left } };
  return yield* save(state, withRig(state.plan, changed), context);
}

function* copy(
  state: SiteState,
  { fromRigId, toRigId, ifRevision }: Extract<Order, { type: "copyEdits" }>,
  context: Context,
): Steps<Decision> {
  const from = rigOf(state.plan, fromRigId);
  const to = rigOf(state.plan, toRigId);
  if (!from) return unknown("fromRigId");
  if (!to || to === from) return unknown("toRigId");
  const conflict = staleRig(state, toRigId, ifRevision);
  if (conflict) return conflict;
  const both = (there: readonly Edit[] = [], here: readonly Edit[] = []) => [
    ...there.map(asMeant),
    ...standingEdits(here).map(asMeant),
  ];
  const variants = { ...to.variants };
  for (const variant of VARIANTS) {
    const edits = both(to.variants?.[variant], from.variants?.[variant]);
    if (edits.length > 0) variants[variant] = edits;
  }
  const { cues: _cues, ...draft } = to;
  const changed = { ...draft, edits: both(to.edits, from.edits), variants };
  // What the rules forbid on the other rig stays with it as such, and is said.
  return yield* save(state, withRig(state.plan, changed), context, { copied: true });
}

function rigOf(plan: Plan, rigId: string): Rig | undefined {
  return plan.rigs.find(({ id }) => id === rigId);
}

function withRig(plan: Plan, rig: RigDraft, names?: Plan["acknowledged"]): PlanDraft {
  const rigs: RigDraft[] = rigOf(plan, rig.id)
    ? plan.rigs.map((one) => (one.id === rig.id ? rig : one))
    : [...plan.rigs, rig];
  if (names === undefined) return { ...plan, rigs };
  const others = plan.acknowledged.filter(({ rigId }) => rigId !== rig.id);
  return { ...plan, rigs, acknowledged: [...others, ...names] };
}

/** A new rig has revision 0. */
function staleRig({ plan, planParts }: SiteState, rigId: string, ifRevision: number): Decision | null {
  const mark = ownValue(planParts.rigs, rigId) ?? null;
  const at = rigOf(plan, rigId) ? (mark?.revision ?? 0) : 0;
  return ifRevision === at ? null : stale(`rig ${rigId}`, at, ifRevision, mark);
}

/** `by` and `savedUtcMs` say who saved it last, so that nobody needs the log for that. */
function stale(what: string, at: number, ifRevision: number, mark: PartMark | null): Decision {
  return no("stale-plan", `${what} is at revision ${at} by now, not ${ifRevision}`, {
    field: "revision",
    data: { revision: at, by: mark?.by ?? null, savedUtcMs: mark?.savedUtcMs ?? null },
  });
}

function unknown(field: string): Decision {
  return no("not-found", `${field} names no rig of this plan that it could be done to`, { field });
}

// ---------------------------------------------------------------- saving

function* save(
  state: SiteState,
  draft: PlanDraft,
  context: Context,
  { copied = false }: { copied?: boolean } = {},
): Steps<Decision> {
  const before = state.plan;
  const site = draft.site && { ...draft.site, zone: zoneOf(draft.site, before.site, context) };
  let circumstances: Circumstances | null = null;
  if (sameSky({ ...draft, site }, before)) {
    circumstances = state.circumstances;
  } else if (draft.eclipse && site) {
    const solved = context.solve(draft.eclipse, site, draft.limb);
    if (!solved)
      return no("eclipse-unknown", `eclipse ${draft.eclipse} is not in the table`, { field: "eclipse" });
    circumstances = solved;
  }
  const previousGets = localEclipse(state.circumstances);
  const gets = circumstances === state.circumstances ? previousGets : localEclipse(circumstances);
  const settled = yield* settlePlanSteps({ ...draft, site }, before, gets, previousGets, { copied });
  if ("refusal" in settled) return { refusal: planRefusal(settled.refusal) };
  const { plan, notes } = settled;
  const open = openFilterRefusal(state, plan, gets, context.now);
  if (open) return { refusal: open };
  const events: EventDraft[] = [];
  const practice = practiceAt(state, context.now);
  // A practice hangs on the contacts it began with; S8's end hangs on them, too.
  if (practice && contactsMoved(state.circumstances, circumstances))
    events.push(draftOf(context, practice.runId, "practiceEnded", { runId: practice.runId, reason: "plan" }));
  events.push(...partEvents(state, plan, circumstances, context));
  return { events, ...(notes.length > 0 && { notes }) };
}

/** One event for each part that differs; for a save that changed nothing one of the site's part. */
function partEvents(
  state: SiteState,
  plan: Plan,
  circumstances: Circumstances | null,
  context: Context,
): EventDraft[] {
  const before = state.plan;
  const { revision } = plan;
  const by = context.actor;
  const runId = plan.eclipse ? `${REAL_RUN}${plan.eclipse}` : state.realRunId;
  const ofRigs: EventDraft[] = [];
  const gone = before.rigs.filter(({ id }) => !rigOf(plan, id));
  for (const { id } of gone) ofRigs.push(draftOf(context, runId, "rigRemoved", { revision, rigId: id, by }));
  const known = new Map(before.rigs.map((rig) => [rig.id, rig]));
  for (const rig of plan.rigs) {
    const acknowledged = namesOf(plan, rig.id);
    if (known.get(rig.id) === rig && same(acknowledged, namesOf(before, rig.id))) continue;
    ofRigs.push(draftOf(context, runId, "rigPlanned", { revision, rig, acknowledged, by }));
  }
  const rigIds = plan.rigs.map(({ id }) => id);
  const asFolded = [
    ...before.rigs.filter(({ id }) => rigOf(plan, id)).map(({ id }) => id),
    ...rigIds.filter((id) => !known.has(id)),
  ];
  if (!same(asFolded, rigIds)) ofRigs.push(draftOf(context, runId, "rigsOrdered", { revision, rigIds, by }));

  const part = sitePartOf(plan);
  const skyChanged = circumstances !== state.circumstances;
  if (ofRigs.length > 0 && !skyChanged && same(part, sitePartOf(before))) return ofRigs;
  // The first place is no change: nobody has been shown times of another.
  const placeChanged = before.site !== null && !sameContacts(before, plan);
  const sitePlanned = draftOf(context, runId, "sitePlanned", {
    revision,
    part,
    ...(skyChanged && { circumstances }),
    placeChanged,
    by,
  });
  return [sitePlanned, ...ofRigs];
}

function sitePartOf({ group, eclipse, site, limb }: Plan): SitePart {
  return { group, eclipse, site, limb };
}

function namesOf({ acknowledged }: Plan, rigId: string): { rule: string; by: string }[] {
  return acknowledged.filter((one) => one.rigId === rigId).map(({ rule, by }) => ({ rule, by }));
}

function planRefusal({ code, message, field, rule, data }: PlanRefusal): Refusal {
  const known: Refusal["code"] =
    code === "breaks-rule"
      ? "safety-rule"
      : code === "needs-acknowledgement"
        ? "needs-acknowledgement"
        : "bad-input";
  return refusal(known, message, { field, data: { ...data }, ...(rule ? { rule } : {}) });
}

/** The zone follows the place: kept while the place stays, looked up when it moves. */
function zoneOf(site: Site, before: Site | null, context: Context): string {
  const moved = !before || before.latDeg !== site.latDeg || before.lonDeg !== site.lonDeg;
  if (site.zone && !(moved && site.zone === before?.zone)) return site.zone;
  return context.zoneAt(site.latDeg, site.lonDeg);
}

function sameContacts(a: Plan, b: Plan): boolean {
  return a.eclipse === b.eclipse && samePlace(a.site, b.site);
}
