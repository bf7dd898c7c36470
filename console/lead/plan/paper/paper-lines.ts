/**
 * Rows of a person's sheet as lines: what is done at one rig after the other, far from totality, stands
 * on one line with the time of each; so does what falls on the same instant, but for filters: each
 * has a line and a box of its own. So the lists of two rigs fit on a page.
 */
import { isFilterAction } from "../../../../shared/plan/model/vocabulary.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import type { PaperRow } from "./paper-rows.ts";

export interface PaperLine {
  row: PaperRow;
  /** The same at other rigs, in their order. */
  also: readonly PaperRow[];
}

/** From so long before C2 to so long after C3 every row stands alone, s. */
const BEFORE_S = 120;
const AFTER_S = 60;
/** What lies further apart is not one thing that is done around. */
const APART_MS = 20 * 60_000;

export function paperLines(rows: readonly PaperRow[], contacts: EffectiveContacts): PaperLine[] {
  const { c2, c3 } = contacts.predicted;
  const isNear = (atMs: number) =>
    c2 !== null && c3 !== null && atMs >= c2 - BEFORE_S * 1000 && atMs <= c3 + AFTER_S * 1000;
  const lines: { row: PaperRow; also: PaperRow[] }[] = [];
  for (const row of rows) {
    const last = lines.at(-1);
    const before = last?.also.at(-1) ?? last?.row;
    if (last && before && isSame(last.row, row) && !names(last).has(row.rig.id)) {
      const afterMs = row.atMs - before.atMs;
      if (afterMs === 0 || (afterMs <= APART_MS && !isNear(before.atMs) && !isNear(row.atMs))) {
        last.also.push(row);
        continue;
      }
    }
    lines.push({ row, also: [] });
  }
  return lines;
}

const names = ({ row, also }: PaperLine) => new Set([row, ...also].map(({ rig }) => rig.id));

function isSame(a: PaperRow, b: PaperRow): boolean {
  return !isFilterAction(a.one.cue.action) && said(a) === said(b);
}

/** Everything of a row that is read, but for rig and time. */
function said({ one: { cue }, ownWords, with: people, helping, undone }: PaperRow): string {
  const { key, say, action, anchor, camera, repeat, people: count, tool, handsS } = cue;
  return JSON.stringify([
    key,
    say,
    action,
    anchor,
    camera,
    repeat,
    count,
    tool,
    handsS,
    ownWords,
    people,
    helping,
    undone,
  ]);
}
