import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { placeInTable } from "../../../../../console/lead/plan/file/place-in-table.ts";
import { readPlanFile } from "../../../../../console/lead/plan/file/read-plan-file.ts";
import { defaultCues } from "../../../../../shared/plan/defaults/default-cues.ts";
import { planTable } from "../../../../../shared/plan/exchange/plan-table.ts";
import { planOf, rigOf, totalSite } from "../../../../shared/plan/sites-and-rigs.ts";

const gets = totalSite(180);
const rig = (id: string) => {
  const one = rigOf("tracked-telescope", { id, name: id, operator: "Ann" });
  return { ...one, cues: defaultCues(one, gets) };
};
const plan = planOf(rig("a"), rig("b"));
const table = planTable(plan, () => "");
const csv = Papa.unparse([table.columns, ...table.rows]);

describe("a file that is to become the plan", () => {
  it("is JSON or a table, with or without a byte order mark, and gives the plan back", () => {
    for (const text of [JSON.stringify(plan), csv, `\uFEFF${csv}`, `\uFEFF${JSON.stringify(plan)}`]) {
      const read = readPlanFile(text);
      expect(read.ok && JSON.parse(JSON.stringify(read.draft))).toEqual(JSON.parse(JSON.stringify(plan)));
    }
  });

  it("that is neither says so; a table with a fault names row and column", () => {
    expect(readPlanFile("{ half")).toEqual({ ok: false, fault: null });
    expect(readPlanFile("part,rig\nrig,a")).toMatchObject({ ok: false, fault: { column: "part" } });
  });

  it("every field of the plan has its row and column there", () => {
    const cells = [table.columns, ...table.rows];
    const cue = plan.rigs[1]?.cues[3];
    const at = placeInTable(table, "rigs.1.cues.3.offsetS");
    expect(at?.column).toBe("offsetS");
    // The row, counted from 1, is that cue's.
    expect(cells[(at?.row ?? 0) - 1]?.[table.columns.indexOf("id")]).toBe(cue?.id);
    expect(cells[(at?.row ?? 0) - 1]?.[table.columns.indexOf("offsetS")]).toBe(String(cue?.offsetS));
    const ofRig = placeInTable(table, "rigs.1.equipment.iso");
    expect(cells[(ofRig?.row ?? 0) - 1]?.slice(0, 2)).toEqual(["rig", "b"]);
    expect(placeInTable(table, "site.latDeg")).toEqual({ row: 2, column: "site.latDeg" });
    expect(placeInTable(table, "rigs.9.name")).toBeNull();
  });
});
