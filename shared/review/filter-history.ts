/**
 * When a rig's filter was off in a run, by the words of its phones: a word holds until the next one,
 * and where phones disagree `off` holds until somebody has looked (S9), as in the run itself.
 */
import type { Rig } from "../plan/model/plan.ts";
import type { EffectiveContacts } from "../run/effective-contacts.ts";
import { type FilterState, filterVerdict, NO_FILTER_WORDS } from "../run/facts/filter-state.ts";
import { type Reported, withFilterOf } from "../run/facts/reported.ts";

export interface FilterHistory {
  /** Stretches for which it was off, run time ms; the last may be open still: until the run's end. */
  open: { fromRunMs: number; untilRunMs: number; closed: boolean }[];
  /** All of them together, s. */
  openS: number;
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
  rigs: readonly Pick<Rig, "id">[],
  reports: readonly Reported[],
  at: (utcMs: number) => number,
  contacts: EffectiveContacts,
  untilRunMs: number,
): (FilterHistory & { rigId: string })[] {
  const byRig = new Map<string, Reported[]>(rigs.map(({ id }) => [id, []]));
  for (const event of reports) byRig.get(event.payload.rigId)?.push(event);
  return [...byRig].map(([rigId, mine]) => ({ rigId, ...historyOf(mine, at, contacts, untilRunMs) }));
}

function historyOf(
  events: readonly Reported[],
  at: (utcMs: number) => number,
  { c2, c3 }: EffectiveContacts,
  untilRunMs: number,
): FilterHistory {
  const open: FilterHistory["open"] = [];
  let fromRunMs: number | null = null;
  for (const { fromUtcMs, state } of filterChanges(events)) {
    if (state === "off") fromRunMs = at(fromUtcMs);
    else if (fromRunMs !== null) {
      open.push({ fromRunMs, untilRunMs: at(fromUtcMs), closed: true });
      fromRunMs = null;
    }
  }
  if (fromRunMs !== null)
    open.push({ fromRunMs, untilRunMs: Math.max(fromRunMs, untilRunMs), closed: false });
  const openS = open.reduce((sum, one) => sum + (one.untilRunMs - one.fromRunMs) / 1000, 0);
  // The stretch in which the Sun came back, or the last before it.
  const last =
    c2 === null || c3 === null
      ? undefined
      : open.findLast((one) => one.fromRunMs <= c3 && one.untilRunMs >= c2);
  return { open, openS, closedAfterC3S: last?.closed && c3 !== null ? (last.untilRunMs - c3) / 1000 : null };
}
