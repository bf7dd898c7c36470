/** A file that somebody chose, read into a draft of a plan; what is wrong within it the hub's check says. */
import Papa from "papaparse";
import {
  type PlanTable,
  readPlanTable,
  type TableFault,
} from "../../../../shared/plan/exchange/plan-table.ts";

export type PlanFile =
  | { ok: true; draft: unknown; table: PlanTable | null }
  | { ok: false; fault: TableFault | null };

/** A table or JSON, told apart by how it begins. `fault` null: it is JSON that cannot be read. */
export function readPlanFile(text: string): PlanFile {
  const plain = text.replace(/^\uFEFF/, "");
  if (plain.trimStart().startsWith("{")) {
    try {
      return { ok: true, draft: JSON.parse(plain), table: null };
    } catch {
      return { ok: false, fault: null };
    }
  }
  const [columns = [], ...rows] = Papa.parse<string[]>(plain).data;
  const table = { columns, rows };
  const read = readPlanTable(table);
  return "fault" in read ? { ok: false, fault: read.fault } : { ok: true, draft: read.draft, table };
}
