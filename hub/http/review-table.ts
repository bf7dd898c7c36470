/**
 * A run as a table for a spreadsheet: a row a fact, in the order in which they were due or happened. Columns
 * that a kind of fact has nothing for are empty. Times are run time (in a practice those of the day that
 * is practised), lengths of alerts real time; everything else is as GET /api/review has it.
 */
import type { Review } from "../../shared/review/review.ts";
import { isoUtc } from "../../shared/time/iso.ts";

const COLUMNS = [
  "fact",
  "rig",
  "operator",
  "what",
  "due_utc",
  "at_utc",
  "until_utc",
  "late_s",
  "lasted_s",
  "after_c3_s",
  "result",
  "why",
  "by",
] as const;

type Row = Partial<Record<(typeof COLUMNS)[number], unknown>>;

/** With a heading. */
export function reviewRows(review: Review): (readonly unknown[])[] {
  const known = new Map(review.rigs.map((rig) => [rig.id, rig]));
  const ofRig = (rigId: string | null): Row =>
    rigId === null ? {} : { rig: known.get(rigId)?.name ?? rigId, operator: known.get(rigId)?.operator };
  const rows: { atRunMs: number; row: Row }[] = [
    ...review.cues.map((cue) => ({
      atRunMs: cue.dueRunMs,
      row: {
        ...{ fact: "cue", ...ofRig(cue.rigId), operator: cue.operator, what: cue.cueId },
        due_utc: utc(cue.dueRunMs),
        at_utc: utc(cue.doneRunMs),
        late_s: cue.doneRunMs === null ? null : tenths((cue.doneRunMs - cue.dueRunMs) / 1000),
        ...{ result: cue.score, why: cue.why, by: cue.inPlaceBy && person(cue.inPlaceBy) },
      },
    })),
    ...review.filters.flatMap(({ rigId, open }) =>
      open.map(({ fromRunMs, untilRunMs, closed }) => ({
        atRunMs: fromRunMs,
        row: {
          ...{ fact: "filter off", ...ofRig(rigId) },
          at_utc: utc(fromRunMs),
          until_utc: closed ? utc(untilRunMs) : null,
          lasted_s: tenths((untilRunMs - fromRunMs) / 1000),
          after_c3_s: closed ? afterC3S(untilRunMs, review) : null,
          result: closed ? "on again" : "still off",
        },
      })),
    ),
    ...review.alerts.each.map(({ cause, rigId, priority, atRunMs, stoodS, over }) => ({
      atRunMs,
      row: {
        ...{ fact: "alert", ...ofRig(rigId), what: cause },
        ...{ at_utc: utc(atRunMs), lasted_s: tenths(stoodS) },
        ...{ result: over ? "over" : "stood to the end", why: priority },
      },
    })),
    ...review.alerts.went.map(({ by, cause, rigId, atRunMs }) => ({
      atRunMs,
      row: { fact: "went", ...ofRig(rigId), what: cause, at_utc: utc(atRunMs), by: person(by) },
    })),
    ...review.calls.map(({ call, by, atRunMs, predictedRunMs, takenBack }) => ({
      atRunMs,
      row: {
        ...{ fact: "call", what: call, due_utc: utc(predictedRunMs), at_utc: utc(atRunMs) },
        late_s: predictedRunMs === null ? null : tenths((atRunMs - predictedRunMs) / 1000),
        ...{ result: takenBack ? "taken back" : "made", by: person(by) },
      },
    })),
    ...review.faults.flatMap(({ kind, rigIds, atRunMs }) =>
      (rigIds ?? [null]).map((rigId) => ({
        atRunMs,
        row: { fact: "fault", ...ofRig(rigId), what: kind, at_utc: utc(atRunMs) },
      })),
    ),
    ...review.clockNotes.map(({ note, atRunMs }) => ({
      atRunMs,
      row: { fact: "clock", what: note, at_utc: utc(atRunMs) },
    })),
  ];
  rows.sort((a, b) => a.atRunMs - b.atRunMs);
  return [COLUMNS, ...rows.map(({ row }: { row: Row }) => COLUMNS.map((name) => row[name]))];
}

/** From C3, for what ended in totality or later. */
function afterC3S(atRunMs: number, { contacts: { c2, c3 } }: Review): number | null {
  return c2 === null || c3 === null || atRunMs < c2 ? null : tenths((atRunMs - c3) / 1000);
}

function utc(ms: number | null): string | null {
  return ms === null ? null : isoUtc(ms);
}

function tenths(s: number): number {
  return Math.round(s * 10) / 10;
}

/** "lead:Ada" is Ada to people. */
function person(actor: string): string {
  return actor.replace(/^lead:/, "");
}
