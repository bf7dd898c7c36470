/**
 * What no save of the plan may do to a filter that is off, or may be: take its rig off the pages (S9),
 * or put the end of totality later or the Sun below the horizon (S5). Pure.
 */
import { sunAt } from "../../eclipse/sun.ts";
import { type LocalEclipse, localEclipse } from "../../plan/local-eclipse.ts";
import type { Plan, Rig } from "../../plan/model/plan.ts";
import { filterAllowance, hasFilter } from "../../plan/safety/allowance.ts";
import type { UtcMs } from "../../time/instants.ts";
import { parseIsoUtc } from "../../time/iso.ts";
import { standingVerdict } from "../facts/filter-knowledge.ts";
import type { FilterVerdict } from "../facts/filter-state.ts";
import { recordOf } from "../facts/rig-record.ts";
import { currentRun } from "../run-time.ts";
import { REAL_RUN, type RigRecord, type SiteState } from "../state.ts";
import { type Refusal, refusal } from "./refusal.ts";

/** Why a plan that gives its site `gets` is not saved while filters are as they are; null where it may be. */
export function openFilterRefusal(
  state: SiteState,
  plan: Plan,
  gets: LocalEclipse,
  now: UtcMs,
): Refusal | null {
  return openAndGone(state, plan, now) ?? openAndLater(state, plan, gets, now);
}

/** From so long before C1 on an open filter may do harm before anybody looks, ms. */
const OPEN_MATTERS_MS = 3_600_000;

/**
 * S9: an open filter keeps its filter-on cue and its place on the pages. While the Sun's eclipse is
 * near, no save takes the rig away, or says that it has no filter, before the filter is said to be on;
 * nor one whose phone may be out of reach with a word on a filter that has come off since.
 */
function openAndGone(state: SiteState, plan: Plan, now: UtcMs): Refusal | null {
  const run = currentRun(state, now);
  for (const before of state.plan.rigs) {
    const rig = plan.rigs.find(({ id }) => id === before.id);
    if (!hasFilter(before) || (rig && hasFilter(rig))) continue;
    const record = recordOf(state, run, before.id);
    const verdict = standingVerdict(state, run, before.id, record, now);
    const field = rig ? `rigs.${plan.rigs.indexOf(rig)}.filter` : "rigs";
    if (verdict.state === "off" && eclipseIsNear(state, now))
      return mayBeOpen("S9", "filter-off", "was last said to be off", before, field);
    if (mayHaveOpened(state, before, record, verdict, now))
      return mayBeOpen("S9", "filter-open", "may have come off since it was last spoken of", before, field);
  }
  return null;
}

function mayBeOpen(
  rule: "S5" | "S9",
  reason: string,
  why: string,
  { id, name }: Rig,
  field: string,
): Refusal {
  const message = `${rule}: the filter of rig "${name}" ${why}; it has to be said on or capped first`;
  return refusal("safety-rule", message, { field, rule, data: { reason, rigId: id, rig: name } });
}

/**
 * S5: nothing that is revised delays what makes safe by itself. In an eclipse no save puts the end of
 * totality later for a filter that may be off, or the Sun below the horizon: whoever waits for the cue
 * would wait in sunlight if that is a mistake. Where the Sun is up and it is not totality by the new
 * place every open filter is called on at once, so that is saved.
 */
function openAndLater(state: SiteState, plan: Plan, gets: LocalEclipse, now: UtcMs): Refusal | null {
  const dark = plan.site === null || !sunAt(now, plan.site).up;
  if (!dark && !endsLater(localEclipse(state.circumstances), gets, now)) return null;
  const run = currentRun(state, now);
  for (const rig of state.plan.rigs) {
    if (!hasFilter(rig)) continue;
    const record = recordOf(state, run, rig.id);
    const verdict = standingVerdict(state, run, rig.id, record, now);
    const off = verdict.state === "off" && eclipseIsNear(state, now);
    if (!off && !mayHaveOpened(state, rig, record, verdict, now)) continue;
    const field = plan.eclipse === state.plan.eclipse ? "site" : "eclipse";
    return dark
      ? mayBeOpen("S5", "sun-down", "may be off, and the Sun would be down", rig, field)
      : mayBeOpen("S5", "ends-later", "may be off, and totality would end later", rig, field);
  }
  return null;
}

/** Whether it is totality by the new place, and for longer than by the one before. */
function endsLater({ contacts }: LocalEclipse, gets: LocalEclipse, now: UtcMs): boolean {
  const { c2: fromMs, c3: untilMs } = gets.contacts;
  if (gets.kind !== "total" || contacts.c3 === null || fromMs === null || untilMs === null) return false;
  return now >= fromMs && now < untilMs && untilMs - contacts.c3 > LATER_MS;
}

/** As much later is no matter of another place (contactsMoved), ms. */
const LATER_MS = 500;

/** That of the plan, or one that the plan was for before: it may have been changed in the middle of one. */
function eclipseIsNear(state: SiteState, now: UtcMs): boolean {
  const { c1, c4 } = localEclipse(state.circumstances).contacts;
  if (c1 !== null && c4 !== null && now >= c1 - OPEN_MATTERS_MS && now <= c4) return true;
  return Object.values(state.runs).some(({ kind, runId }) => {
    const day = kind === "real" && runId !== state.realRunId && parseIsoUtc(runId.slice(REAL_RUN.length));
    return day && now > day - ASIDE_MS && now < day + DAY_MS + ASIDE_MS;
  });
}

const DAY_MS = 86_400_000;
/** No place on the Earth has an eclipse further than this from the day that names it, ms. */
const ASIDE_MS = 4 * 3_600_000;

/** From when its filter may come off to C4: its phones may be out of reach, and hold another word. */
function mayHaveOpened(
  state: SiteState,
  rig: Rig,
  { lastUtcMs }: RigRecord,
  { state: word, word: said }: FilterVerdict,
  now: UtcMs,
): boolean {
  const gets = localEclipse(state.circumstances);
  const { c2, c4 } = gets.contacts;
  const allowance = filterAllowance(rig, gets);
  if (allowance === null || c2 === null || c4 === null) return false;
  const fromMs = c2 + allowance.offFrom.offsetS * 1000;
  if (now < fromMs || now > c4) return false;
  const closed = word === "on" || word === "capped";
  if (closed && said && said.observedUtcMs >= fromMs) return false;
  return (
    lastUtcMs !== null ||
    Object.values(state.devices).some(({ agent, rigIds }) => !agent && rigIds.includes(rig.id))
  );
}
