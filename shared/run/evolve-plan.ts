/**
 * Folds what was planned into the state: the site's part, one rig at a time, or (from hubs before
 * that) a whole plan at once. Settling was done when it was decided; here nothing is derived but
 * what a changed place means for the run (S5, S6). Pure.
 */
import type { Circumstances } from "../eclipse/circumstances-types.ts";
import type { Plan } from "../plan/model/plan.ts";
import { contactsMoved } from "./effective-contacts.ts";
import type { EventType, SiteEvent } from "./events.ts";
import { madeSafe, withRun } from "./run-record.ts";
import { newRun, type PartMark, REAL_RUN, type SiteState, UNPLANNED_RUN } from "./state.ts";

type Of<T extends EventType> = Extract<SiteEvent, { type: T }>;
type Planned = Of<"planSaved" | "sitePlanned" | "rigPlanned" | "rigRemoved" | "rigsOrdered">;

/** @param state `before` with the event's sequence number. */
export function planned(before: SiteState, state: SiteState, event: Planned): SiteState {
  switch (event.type) {
    case "planSaved":
      return wholePlan(before, state, event);
    case "sitePlanned":
      return sitePart(before, state, event);
    case "rigPlanned":
      return rigPart(state, event);
    case "rigRemoved": {
      const { rigId, revision } = event.payload;
      const { [rigId]: _gone, ...marks } = state.planParts.rigs;
      return {
        ...state,
        plan: {
          ...state.plan,
          revision,
          rigs: state.plan.rigs.filter(({ id }) => id !== rigId),
          acknowledged: state.plan.acknowledged.filter((one) => one.rigId !== rigId),
        },
        planParts: { ...state.planParts, last: markOf(event), rigs: marks },
      };
    }
    case "rigsOrdered": {
      const { rigIds, revision } = event.payload;
      const place = new Map(rigIds.map((id, index) => [id, index]));
      const at = ({ id }: Plan["rigs"][number]) => place.get(id) ?? rigIds.length;
      const rigs = [...state.plan.rigs].sort((a, b) => at(a) - at(b));
      const planParts = { ...state.planParts, last: markOf(event) };
      return { ...state, plan: { ...state.plan, revision, rigs }, planParts };
    }
  }
}

function markOf(event: Planned): PartMark {
  const revision = event.type === "planSaved" ? event.payload.plan.revision : event.payload.revision;
  return { revision, by: event.payload.by, savedUtcMs: event.loggedUtcMs };
}

function wholePlan(before: SiteState, state: SiteState, event: Of<"planSaved">): SiteState {
  const { plan, circumstances, placeChanged } = event.payload;
  const mark = markOf(event);
  const planParts = {
    last: mark,
    site: mark,
    rigs: Object.fromEntries(plan.rigs.map(({ id }) => [id, mark])),
  };
  return placed(before, { ...state, plan, planParts, circumstances }, event, placeChanged);
}

function sitePart(before: SiteState, state: SiteState, event: Of<"sitePlanned">): SiteState {
  const { part, revision, placeChanged } = event.payload;
  const circumstances: Circumstances | null =
    event.payload.circumstances === undefined ? state.circumstances : event.payload.circumstances;
  const plan = { ...state.plan, ...part, revision };
  const mark = markOf(event);
  const planParts = { ...state.planParts, last: mark, site: mark };
  return placed(before, { ...state, plan, planParts, circumstances }, event, placeChanged);
}

function rigPart(state: SiteState, event: Of<"rigPlanned">): SiteState {
  const { rig, revision, acknowledged } = event.payload;
  const mark = markOf(event);
  const { rigs } = state.plan;
  const known = rigs.some(({ id }) => id === rig.id);
  const others = state.plan.acknowledged.filter(({ rigId }) => rigId !== rig.id);
  return {
    ...state,
    plan: {
      ...state.plan,
      revision,
      acknowledged: [...others, ...acknowledged.map((one) => ({ ...one, rigId: rig.id }))],
      rigs: known ? rigs.map((one) => (one.id === rig.id ? rig : one)) : [...rigs, rig],
    },
    planParts: {
      ...state.planParts,
      last: mark,
      rigs: { ...state.planParts.rigs, [rig.id]: mark },
    },
  };
}

/** What another place or other times mean for the run. */
function placed(before: SiteState, state: SiteState, event: Planned, placeChanged: boolean): SiteState {
  const { plan, circumstances } = state;
  const realRunId = plan.eclipse ? `${REAL_RUN}${plan.eclipse}` : UNPLANNED_RUN;
  // The same place with other times (the limb, say): as good as a shift (S5).
  const revised =
    !placeChanged && before.circumstances !== null && contactsMoved(before.circumstances, circumstances);
  const after: SiteState = {
    ...state,
    placeChangedUtcMs: placeChanged ? event.loggedUtcMs : state.placeChangedUtcMs,
    realRunId,
    runs: state.runs[realRunId] ? state.runs : { ...state.runs, [realRunId]: newRun(realRunId, "real") },
  };
  // A call was made of the sky over the place before (S6).
  if (placeChanged) return withRun(after, realRunId, (run) => madeSafe(run, event.loggedUtcMs));
  if (!revised) return after;
  return withRun(after, realRunId, (run) => ({ ...run, revisedUtcMs: event.loggedUtcMs }));
}
