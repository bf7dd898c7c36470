/**
 * When a rig's filter was off in a run, by the words of its phones: a word holds until the next one,
 * and where phones disagree `off` holds until somebody has looked (S9), as in the run itself.
 */
import type { LocalEclipse } from "../plan/local-eclipse.ts";
import type { Rig } from "../plan/model/plan.ts";
import { filterAllowance } from "../plan/safety/allowance.ts";
import type { EffectiveContacts } from "../run/effective-contacts.ts";
import { type FilterState, filterVerdict, NO_FILTER_WORDS } from "../run/facts/filter-state.ts";
import { type Reported, withFilterOf } from "../run/facts/reported.ts";

export interface FilterHistory {
  /** Stretches for which it was off, run time ms; the last may be open still: until the run's end. */
  open: { fromRunMs: number; untilRunMs: number; closed: boolean }[];
  /** All of them together, s. */
  openS: number;
  /** Of that outside totality and the rig's own allowance while the Sun was up, s (S1, S3, S4). */
  sunlitS: number;
  /** Whether the rig has a filter at all, and whether anybody said what it is. */
  hasOne: boolean;
  told: boolean;
  /** From C3 to when it was known to be closed again, s, below 0 before C3; null when it was not open in totality or is not closed. */
  closedAfterC3S: number | null;
}

/** From this instant on, UTC ms, the filter was what is said. */
export interface FilterChange {
  fromUtcMs: number;
  state: FilterState;
}

/** What the reports of one rig, in order (scores.ts, inOrder), said of its filter, no state twice in a row. */
export function filterChanges(reports: readonly Reported[]): FilterChange[] {
  const changes: FilterChange[] = [];
  let words = NO_FILTER_WORDS;
  for (const event of reports) {
    words = withFilterOf(words, event);
    const { state } = filterVerdict(words);
    if (state !== changes.at(-1)?.state) changes.push({ fromUtcMs: event.observedUtcMs, state });
  }
  return changes;
}

/** `reports` are in order (scores.ts, inOrder). */
export function filterHistories(
  rigs: readonly Rig[],
  reports: readonly Reported[],
  at: (utcMs: number) => number,
  sky: RunSky,
): (FilterHistory & { rigId: string })[] {
  const byRig = new Map<string, Reported[]>(rigs.map(({ id }) => [id, []]));
  for (const event of reports) byRig.get(event.payload.rigId)?.push(event);
  return rigs.map((rig) => ({ rigId: rig.id, ...historyOf(rig, byRig.get(rig.id) ?? [], at, sky) }));
}

/** What the site got, and until when it is known what filters were. */
interface RunSky {
  contacts: EffectiveContacts;
  gets: LocalEclipse;
  untilRunMs: number;
}

interface Stretch {
  fromRunMs: number;
  untilRunMs: number;
}

function historyOf(
  rig: Rig,
  events: readonly Reported[],
  at: (utcMs: number) => number,
  { contacts, gets, untilRunMs }: RunSky,
): FilterHistory {
  const { c2, c3 } = contacts;
  const changes = rig.filter === "none by design" ? [] : filterChanges(events);
  const open: FilterHistory["open"] = [];
  let fromRunMs: number | null = null;
  for (const { fromUtcMs, state } of changes) {
    if (state === "off") fromRunMs = at(fromUtcMs);
    else if (fromRunMs !== null) {
      open.push({ fromRunMs, untilRunMs: at(fromUtcMs), closed: true });
      fromRunMs = null;
    }
  }
  if (fromRunMs !== null)
    open.push({ fromRunMs, untilRunMs: Math.max(fromRunMs, untilRunMs), closed: false });
  const openS = open.reduce((sum, one) => sum + lengthS(one), 0);
  const sunUp = { fromRunMs: contacts.sunrise ?? -Infinity, untilRunMs: contacts.sunset ?? Infinity };
  const dark = allowed(rig, gets, contacts);
  const sunlitS = open.reduce((sum, one) => {
    const lit = overlap(one, sunUp);
    return sum + lengthS(lit) - (dark ? lengthS(overlap(lit, dark)) : 0);
  }, 0);
  // The stretch in which the Sun came back, or the last before it.
  const last =
    c2 === null || c3 === null
      ? undefined
      : open.findLast((one) => one.fromRunMs <= c3 && one.untilRunMs >= c2);
  return {
    open,
    openS,
    sunlitS,
    hasOne: rig.filter !== "none by design",
    told: changes.some(({ state }) => state !== "unknown"),
    closedAfterC3S: last?.closed && c3 !== null ? (last.untilRunMs - c3) / 1000 : null,
  };
}

/** Totality, and what the rig may be open before and after it (S3, S4); null where no filter may come off. */
function allowed(rig: Rig, gets: LocalEclipse, contacts: EffectiveContacts): Stretch | null {
  const { filterC2, c3, filterC3 } = contacts;
  if (gets.kind !== "total" || filterC2 === null || c3 === null || filterC3 === null) return null;
  const { offFrom, onBy } = filterAllowance(rig, gets) ?? {};
  return {
    fromRunMs: filterC2 + Math.min(0, offFrom?.offsetS ?? 0) * 1000,
    untilRunMs: Math.max(c3, filterC3 + (onBy?.offsetS ?? 0) * 1000),
  };
}

function overlap(a: Stretch, b: Stretch): Stretch {
  return {
    fromRunMs: Math.max(a.fromRunMs, b.fromRunMs),
    untilRunMs: Math.min(a.untilRunMs, b.untilRunMs),
  };
}

function lengthS({ fromRunMs, untilRunMs }: Stretch): number {
  return Math.max(0, untilRunMs - fromRunMs) / 1000;
}
