/**
 * The table's compact form: one line per eclipse, whole numbers separated by spaces, each a value
 * times a power of ten. Writer (scripts/build-elements.ts) and reader (table.ts) share it.
 */

/** Field, number of values, decimals of each. The last digit of x and y is worth 6 cm, 0.1 ms. */
const LAYOUT = [
  ["t0H", [0]],
  ["greatestS", [1]],
  ["deltaT", [1]],
  ["gamma", [5]],
  ["magnitude", [4]],
  ["place", [3, 3]],
  ["durationS", [1]],
  ["x", [8, 8, 9, 9, 10]],
  ["y", [8, 8, 9, 9, 10]],
  ["d", [7, 8, 8, 9]],
  ["mu", [6, 7, 8, 9]],
  ["l1", [8, 9, 9, 10]],
  ["l2", [8, 9, 9, 10]],
  ["tanF", [8, 8]],
] as const;

type Field = (typeof LAYOUT)[number][0];

export interface TableRow extends Record<Field, number[]> {
  /** Date of greatest eclipse, TT. */
  id: string;
  kind: "T" | "A" | "H" | "P";
}

/** Decimals of a field's values. */
export function decimalsOf(field: Field): readonly number[] {
  return LAYOUT.find(([name]) => name === field)?.[1] ?? [];
}

export function packRow(row: TableRow): string {
  const numbers = LAYOUT.flatMap(([field, decimals]) =>
    decimals.map((n, i) => String(Math.round((row[field][i] as number) * 10 ** n) || 0)),
  );
  return [row.id, row.kind, ...numbers].join(" ");
}

export function unpackRow(line: string): TableRow {
  const [id = "", kind = "P", ...numbers] = line.split(" ");
  let at = 0;
  const fields = LAYOUT.map(([field, decimals]) => [
    field,
    decimals.map((n) => Number(numbers[at++]) / 10 ** n),
  ]);
  return { id, kind, ...Object.fromEntries(fields) } as TableRow;
}
