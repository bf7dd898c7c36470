/** Practice runs as rows, numbered from the first that was judged. */
import type { Comparison } from "../../../../shared/review/compare.ts";
import { whenText } from "../runs-list.ts";
import type { RunRow } from "./runs-table.tsx";

export function runRows({ runs }: Comparison, zone: string): RunRow[] {
  return runs.map(({ runId, startedUtcMs, anchor, offsetS, rate, counts, allOnAfterC3S }, n) => ({
    runId,
    name: `${n + 1} · ${whenText({ runId, startedUtcMs: startedUtcMs as never }, zone)}`,
    began: `${anchor} ${offsetS < 0 ? "−" : "+"}${Math.abs(offsetS)} s`,
    ...{ rate, counts, allOnAfterC3S },
  }));
}
