/** Where in a table a field of the plan stands: "rigs.0.cues.2.offsetS" is a row and a column of the file. */
import type { PlanTable } from "../../../../shared/plan/exchange/plan-table.ts";

export interface PlaceInTable {
  /** Counted from 1, the line of names being the first. */
  row: number;
  column: string;
}

const FIELD = /^rigs\.(\d+)(?:\.cues\.(\d+))?(?:\.(.+))?$/;

/** Null where the table has no such row. */
export function placeInTable({ columns, rows }: PlanTable, field: string): PlaceInTable | null {
  const part = columns.indexOf("part");
  const parts = rows.map((cells, i) => ({ part: (cells[part] ?? "").trim(), row: i + 2 }));
  const found = FIELD.exec(field);
  if (!found) {
    const site = parts.find((one) => one.part === "site");
    return site ? { row: site.row, column: field } : null;
  }
  const [, rigAt, cueAt, column] = found;
  const rigRows = parts.filter((one) => one.part === "rig").map(({ row }) => row);
  const rigRow = rigRows[Number(rigAt)];
  if (rigRow === undefined) return null;
  if (cueAt === undefined) return { row: rigRow, column: column ?? "part" };
  const next = rigRows[Number(rigAt) + 1] ?? Number.POSITIVE_INFINITY;
  const cueRows = parts.filter((one) => one.part === "cue" && one.row > rigRow && one.row < next);
  const cue = cueRows[Number(cueAt)];
  return cue ? { row: cue.row, column: column ?? "part" } : null;
}
