/**
 * A plan as a table and back. What may not begin a cell: OWASP's page on CSV injection names
 * = + - @, tab and carriage return (from memory).
 */
import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import {
  planTable,
  readCell,
  readPlanTable,
  writeCell,
} from "../../../../shared/plan/exchange/plan-table.ts";
import { NO_EQUIPMENT } from "../../../../shared/plan/model/equipment.ts";
import { anyRig, planOf, rigOf, totalSite } from "../sites-and-rigs.ts";

const noTimes = () => "";
const plain = (value: unknown) => JSON.parse(JSON.stringify(value));

/** Through the text of a file, as a spreadsheet would see it, by a library of its own. */
function throughText(table: { columns: string[]; rows: string[][] }) {
  const text = Papa.unparse([table.columns, ...table.rows], { newline: "\r\n" });
  const [columns = [], ...rows] = Papa.parse<string[]>(text).data;
  return { columns, rows };
}

describe("back without loss", () => {
  test("any plan, through the text of a file", () => {
    fc.assert(
      fc.property(fc.array(anyRig, { maxLength: 4 }), fc.string({ maxLength: 30 }), (rigs, group) => {
        const named = rigs.map((rig, i) => ({
          ...rig,
          id: `rig-${i}`,
          name: `=${rig.name}`,
          operator: "+1 'a\"\r\n",
        }));
        const plan = { ...planOf(...named), group };
        const read = readPlanTable(throughText(planTable(plan, noTimes)));
        if ("fault" in read) throw new Error(read.fault.message);
        expect(plain(read.draft)).toEqual(plain(plan));
      }),
      { numRuns: 200 },
    );
  });

  test("brightness values of a group's own, work for two and a tool", () => {
    const rig = rigOf("tracked-telescope");
    const [first, ...others] = defaultCues(rig, totalSite(240));
    const plan = planOf({
      ...rig,
      cues: first ? [{ ...first, people: 2, tool: "=Key, 5 mm" }, ...others] : [],
      equipment: { ...NO_EQUIPMENT, brightness: [{ of: "corona-0.1", q: 6.5 }] },
    });
    const read = readPlanTable(throughText(planTable(plan, noTimes)));
    if ("fault" in read) throw new Error(read.fault.message);
    expect(plain(read.draft)).toEqual(plain(plan));
  });

  test("any cell", () => {
    const value = fc.oneof(
      fc.string({ unit: "binary" }),
      fc.double({ noNaN: true, noDefaultInfinity: true }).map((x) => (Object.is(x, -0) ? 0 : x)),
      fc.boolean(),
      fc.constant(null),
      fc.array(fc.oneof(fc.integer(), fc.string())),
      fc.constantFrom("true", "NULL", "-3", "+1", "=SUM(A1)", "@x", "[1]", "'", "", " a ", "1e5", ".5"),
    );
    fc.assert(
      fc.property(value, (one) => {
        expect(readCell(writeCell(one))).toEqual(one);
      }),
      { numRuns: 2000 },
    );
  });
});

test("no text begins like a formula; numbers below zero stay numbers", () => {
  for (const text of ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"]) expect(writeCell(text)[0]).toBe("'");
  expect(writeCell(-3)).toBe("-3");
});

test("as a spreadsheet gives it back: TRUE, 5.0, other order of columns, empty lines", () => {
  const read = readPlanTable({
    columns: ["id", "part", "rig", "on", "offsetS", "name", "due (UTC)"],
    rows: [
      ["", "site", "", "", "", "", ""],
      ["", "", "", "", "", "", ""],
      ["east", "rig", "east", "", "", "East", ""],
      ["focus", "cue", "east", "TRUE", "5.0", "", "2027-08-02T10:00:00Z"],
    ],
  });
  expect(plain("draft" in read && read.draft)).toEqual({
    rigs: [{ id: "east", name: "East", cues: [{ id: "focus", on: true, offsetS: 5 }] }],
  });
});

test("what cannot be told apart is a fault with its place", () => {
  const table = planTable(
    planOf(rigOf("tracked-telescope", { cues: defaultCues(rigOf("tracked-telescope"), totalSite(200)) })),
    noTimes,
  );
  const at = (change: (t: typeof table) => void) => {
    const copy = plain(table);
    change(copy);
    const read = readPlanTable(copy);
    return "fault" in read ? read.fault : null;
  };
  expect(at((t) => t.columns.shift())).toMatchObject({ row: 1, column: "part" });
  expect(at((t) => ((t.rows[2] as string[])[1] = "nobody"))).toMatchObject({ row: 4, column: "rig" });
  expect(at((t) => ((t.rows[1] as string[])[0] = "camera"))).toMatchObject({
    row: 3,
    message: "must be site, rig or cue",
  });
  expect(at((t) => t.rows.shift())).toMatchObject({ message: "there is no row for the site" });
  expect(at((t) => t.columns.push("part"))).toMatchObject({ message: 'there are two columns "part"' });
});

test("a field called like an inherited one is a field", () => {
  const read = readPlanTable({ columns: ["part", "__proto__.polluted"], rows: [["site", "1"]] });
  expect(({} as { polluted?: unknown }).polluted).toBeUndefined();
  expect("draft" in read).toBe(true);
});
