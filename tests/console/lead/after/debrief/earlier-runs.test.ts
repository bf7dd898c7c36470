/** Which practice runs stand beside a run in its debrief. */
import { expect, test } from "vitest";
import { rowsUpTo } from "../../../../../console/lead/after/debrief/earlier-runs.tsx";
import type { Comparison } from "../../../../../shared/review/compare.ts";
import type { Review } from "../../../../../shared/review/review.ts";

const counts = { "on time": 1, early: 0, late: 0, missed: 0 };
const compared = {
  runs: [1, 2, 3, 4, 5, 6].map((n) => ({
    ...{ runId: `p${n}`, startedUtcMs: n * 1000, anchor: "C2", offsetS: -60, rate: 1, part: 1, repeats: 1 },
    ...{ counts, allOnAfterC3S: null },
  })),
  rigs: [],
} satisfies Comparison;
const run = (runId: string, practice: { startedUtcMs: number; rate: number } | null) =>
  ({ runId, practice, cues: [], filters: [] }) as unknown as Review;
const idsAt = (review: Review) => rowsUpTo(compared, "UTC", review, null).map(({ runId }) => runId);

test("a practice of which nothing is judged yet stands behind those before it, at its own pace", () => {
  const young = run("young", { startedUtcMs: 3500, rate: 5 });
  expect(idsAt(young)).toEqual(["p1", "p2", "p3", "young"]);
  expect(rowsUpTo(compared, "UTC", young, null).at(-1)?.rate).toBe(5);
  expect(idsAt(run("first", { startedUtcMs: 500, rate: 1 }))).toEqual(["first"]);
});

test("a judged practice stands where it was, the real run behind the newest", () => {
  expect(idsAt(run("p2", { startedUtcMs: 2000, rate: 1 }))).toEqual(["p1", "p2"]);
  expect(idsAt(run("real-2027-08-02", null))).toEqual(["p3", "p4", "p5", "p6", "real-2027-08-02"]);
});
