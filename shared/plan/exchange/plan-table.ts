/**
 * A plan as a table for any spreadsheet, and back without loss: one row for the site, one a rig, one
 * a cue. Columns are named after the plan's own fields ("repeat.everyS"), so that a new field needs
 * nothing here.
 *
 * A cell is written so that it comes back as what it was: numbers, true, false and null as such,
 * lists as JSON, and text with an apostrophe in front where it would be taken for one of those or
 * for a formula. An empty cell says nothing of its field.
 */

export type Cell = string;
export interface PlanTable {
  columns: string[];
  rows: Cell[][];
}

/** The kinds of rows; the first two columns say which, and whose. */
const PART = "part";
const RIG = "rig";
/** Read by people only, and ignored when a table comes back. */
const DUE = "due (UTC)";

type Fields = Record<string, unknown>;

interface PlanLike extends Fields {
  rigs: readonly (Fields & { id: string; cues: readonly Fields[] })[];
}

const LOOKS_LIKE_A_VALUE = /^(true|false|null|[-+]?(\d|\.\d)[\d.]*(e[-+]?\d+)?)$/i;
/** First characters that a spreadsheet takes for a formula, or that a cell uses for itself. */
const NOT_AT_THE_START = /^[=+\-@\t\r'[{]/;

export function writeCell(value: unknown): Cell {
  if (value === undefined) return "";
  if (typeof value === "string")
    return value === "" ||
      value.trim() !== value ||
      LOOKS_LIKE_A_VALUE.test(value) ||
      NOT_AT_THE_START.test(value)
      ? `'${value}`
      : value;
  return JSON.stringify(value);
}

export function readCell(cell: Cell): unknown {
  if (cell === "") return undefined;
  if (cell.startsWith("'")) return cell.slice(1);
  const plain = cell.trim();
  if (LOOKS_LIKE_A_VALUE.test(plain)) {
    // As a spreadsheet may write them: TRUE, 1.0, +5.
    const lower = plain.toLowerCase();
    if (lower === "true" || lower === "false") return lower === "true";
    if (lower === "null") return null;
    const number = Number(plain);
    return Number.isFinite(number) ? number : plain;
  }
  if (/^[[{]/.test(plain)) {
    try {
      return JSON.parse(plain);
    } catch {
      return plain;
    }
  }
  return cell;
}

/** Nested records as dotted names; lists stay whole. */
function flatten(fields: Fields, before = ""): [string, unknown][] {
  return Object.entries(fields).flatMap(([key, value]): [string, unknown][] => {
    const name = `${before}${key}`;
    const nested = value !== null && typeof value === "object" && !Array.isArray(value);
    return nested && Object.keys(value).length > 0 ? flatten(value as Fields, `${name}.`) : [[name, value]];
  });
}

/** Only own plain names become fields: "__proto__" is a name like any other. */
function unflatten(pairs: readonly (readonly [string, unknown])[]): Fields {
  const fields: Fields = Object.create(null);
  for (const [name, value] of pairs) {
    const path = name.split(".");
    let at = fields;
    for (const step of path.slice(0, -1)) {
      const next = at[step];
      if (next === undefined || next === null || typeof next !== "object") at[step] = Object.create(null);
      at = at[step] as Fields;
    }
    at[path.at(-1) as string] = value;
  }
  return fields;
}

/** @param dueUtc of a rig's cue, for people; "" where it has no time here. */
export function planTable(plan: PlanLike, dueUtc: (rigId: string, cueId: string) => string): PlanTable {
  const { rigs, ...site } = plan;
  const parts: { part: string; rig: string; due: string; fields: [string, unknown][] }[] = [
    { part: "site", rig: "", due: "", fields: flatten(site) },
  ];
  for (const { cues, ...rig } of rigs) {
    parts.push({ part: "rig", rig: rig.id, due: "", fields: flatten(rig) });
    for (const cue of cues)
      parts.push({ part: "cue", rig: rig.id, due: dueUtc(rig.id, String(cue.id)), fields: flatten(cue) });
  }
  const names = [...new Set(parts.flatMap(({ fields }) => fields.map(([name]) => name)))];
  const rows = parts.map(({ part, rig, due, fields }) => {
    const values = new Map(fields);
    return [part, rig, due, ...names.map((name) => (values.has(name) ? writeCell(values.get(name)) : ""))];
  });
  return { columns: [PART, RIG, DUE, ...names], rows };
}

export interface TableFault {
  /** Counted from 1, the line of names being the first. */
  row: number;
  column: string;
  message: string;
}

export type ReadPlan = { draft: Fields } | { fault: TableFault };

/**
 * The draft that a table holds, still unchecked: the plan's own schema says what is wrong in it.
 * Empty lines are passed over; what cannot be told apart is a fault with its place.
 */
export function readPlanTable({ columns, rows }: PlanTable): ReadPlan {
  const fault = (row: number, column: string, message: string): ReadPlan => ({
    fault: { row, column, message },
  });
  const place = columns.indexOf(PART);
  if (place < 0) return fault(1, PART, `there is no column "${PART}"`);
  const twice = columns.find((name, i) => name !== "" && columns.indexOf(name) !== i);
  if (twice !== undefined) return fault(1, twice, `there are two columns "${twice}"`);
  const whose = columns.indexOf(RIG);
  let draft: Fields | null = null;
  const rigs = new Map<string, Fields & { cues?: Fields[] }>();
  for (const [i, cells] of rows.entries()) {
    if (cells.every((cell) => cell.trim() === "")) continue;
    const row = i + 2;
    const pairs: [string, unknown][] = [];
    for (const [c, cell] of cells.entries()) {
      const name = columns[c] ?? "";
      if (cell === "" || name === PART || name === RIG || name === DUE) continue;
      if (name === "") return fault(row, "", `"${cell}" stands in a column without a name`);
      pairs.push([name, readCell(cell)]);
    }
    const fields = unflatten(pairs);
    const rigId = (cells[whose] ?? "").trim();
    switch ((cells[place] ?? "").trim()) {
      case "site":
        if (draft) return fault(row, PART, "there are two rows for the site");
        draft = fields;
        break;
      case "rig": {
        const id = String(fields.id ?? rigId);
        if (rigs.has(id)) return fault(row, RIG, `there are two rows for rig "${id}"`);
        rigs.set(id, { ...fields, id, cues: [] });
        break;
      }
      case "cue": {
        const rig = rigs.get(rigId);
        if (!rig) return fault(row, RIG, `no row before this one is for rig "${rigId}"`);
        rig.cues?.push(fields);
        break;
      }
      default:
        return fault(row, PART, `must be site, rig or cue`);
    }
  }
  if (!draft) return fault(rows.length + 1, PART, "there is no row for the site");
  return { draft: { ...draft, rigs: [...rigs.values()] } };
}
