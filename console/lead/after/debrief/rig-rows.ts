/** A run rig by rig: the figures of each, and the order in which a group talks about them. */
import type { Review } from "../../../../shared/review/review.ts";
import { type Counts, countsOf } from "../../../../shared/review/scores.ts";

export interface RigRow {
  id: string;
  name: string;
  operator: string;
  played: boolean;
  counts: Counts;
  openS: number;
  sunlitS: number;
  closedAfterC3S: number | null;
  stillOff: boolean;
  /** Dangers and cautions. */
  raised: number;
  stoodS: number;
  /** Leads who said that they were coming. */
  went: string[];
}

/** Worst first: open in sunlight, never on again, missed, late, somebody needed; else as the plan has them. */
export function rigRows(review: Review): RigRow[] {
  const rows = review.rigs.map(({ id, name, operator }): RigRow => {
    const filter = review.filters.find(({ rigId }) => rigId === id);
    const needed = review.alerts.byRig.find(({ rigId }) => rigId === id);
    const went = review.alerts.went.filter(({ rigId }) => rigId === id).map(({ by }) => personName(by));
    return {
      ...{ id, name, operator },
      played: review.played.includes(id),
      counts: countsOf(review.cues.filter(({ rigId }) => rigId === id)),
      openS: filter?.openS ?? 0,
      sunlitS: filter?.sunlitS ?? 0,
      closedAfterC3S: filter?.closedAfterC3S ?? null,
      stillOff: filter?.open.at(-1)?.closed === false,
      raised: needed?.raised ?? 0,
      stoodS: needed?.stoodS ?? 0,
      went: [...new Set(went)],
    };
  });
  return rows.sort(
    (a, b) =>
      b.sunlitS - a.sunlitS ||
      Number(b.stillOff) - Number(a.stillOff) ||
      b.counts.missed - a.counts.missed ||
      b.counts.late - a.counts.late ||
      b.raised - a.raised,
  );
}

/** "lead:Ada" is Ada to people. */
export function personName(actor: string): string {
  return actor.replace(/^lead:/, "");
}
