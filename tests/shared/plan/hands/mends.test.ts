/** What is offered to mend a plan that hands cannot carry out: worked by hand, and tried at random. */
import { describe, expect, test } from "vitest";
import { type Mend, mended, mendsOf, ONE_MORE } from "../../../../shared/plan/hands/mends.ts";
import { slackS, solveHands } from "../../../../shared/plan/hands/solve.ts";
import type { HandsProblem, Task } from "../../../../shared/plan/hands/task.ts";

const walkS = (a: string, b: string) => (a === b ? 0 : 5);

function task(id: string, rigId: string, earliestS: number, more: Partial<Task> = {}): Task {
  return {
    id,
    rigId,
    earliestS,
    latestS: earliestS,
    durationS: 5,
    who: ["ann"],
    people: 1,
    must: false,
    weight: 1,
    ...more,
  };
}
const kinds = (problem: HandsProblem) => mendsOf(problem).map(({ mend }) => mend);

describe("mends", () => {
  test("two filters at one second: the second begins earlier, by what hands and way need", () => {
    const tasks = [
      task("a", "r1", -20, { must: true, latestS: -10 }),
      task("b", "r2", -20, { must: true, latestS: -20, allowedEarliestS: -45 }),
    ];
    // b at −20 is over at −15, and a begins by −10: that works. Shorter windows do not.
    expect(mendsOf({ tasks, walkS })).toEqual([]);
    const tight = tasks.map((one) => ({ ...one, latestS: -20 }));
    // b has to be over and walked from by −20: it begins 10 s earlier.
    expect(kinds({ tasks: tight, walkS })).toEqual([
      { kind: "earlier", taskId: "b", byS: 10 },
      { kind: "one-more-person" },
    ]);
  });

  test("nothing that must be done is offered to be dropped", () => {
    const tasks = [task("on", "r1", 0, { must: true }), task("burst", "r2", 0)];
    expect(kinds({ tasks, walkS })).toContainEqual({ kind: "drop", taskId: "burst" });
    expect(kinds({ tasks, walkS })).not.toContainEqual({ kind: "drop", taskId: "on" });
  });

  test("two rigs change hands where that is enough", () => {
    const ben = { who: ["ben"] };
    const tasks = [
      task("a", "r1", 0),
      task("b", "r2", 0),
      task("c", "r3", 60, ben),
      task("d", "r4", 60, ben),
    ];
    expect(kinds({ tasks, walkS })).not.toContainEqual({ kind: "swap-rigs", rigId: "r1", withRigId: "r2" });
    // One of ann's two at once for one of ben's two at once: each has one of either.
    expect(kinds({ tasks, walkS })).toContainEqual({ kind: "swap-rigs", rigId: "r2", withRigId: "r3" });
  });

  test("every mend that is offered works and names its slack; a plan that works is offered none", () => {
    let seen = 0;
    for (let seed = 1; seed <= 150; seed++) {
      const at = (i: number) => ((seed * 31 + i * 17 * (1 + (seed % 7))) % 40) - 20;
      const tasks = Array.from({ length: 5 }, (_, i) =>
        task(`t${i}`, `r${i % 3}`, at(i), {
          latestS: at(i) + (seed % 4),
          allowedEarliestS: at(i) - 15,
          durationS: 3 + ((seed + i) % 5),
          must: i === 0,
          who: i % 3 === 0 ? ["ann"] : ["ben"],
        }),
      );
      const problem = { tasks, walkS };
      for (const { mend, slackS: slack } of mendsOf(problem)) {
        const after = mended(problem, mend);
        const solution = solveHands(after);
        expect(solution.feasible && solution.schedule.dropped.length === 0).toBe(true);
        expect(slack).toBe(slackS(after));
        if (mend.kind === "earlier")
          expect(after.tasks.find(({ id }) => id === mend.taskId)?.earliestS).toBeGreaterThanOrEqual(
            problem.tasks.find(({ id }) => id === mend.taskId)?.allowedEarliestS ?? 0,
          );
        seen++;
      }
    }
    expect(seen).toBeGreaterThan(50);
    expect(ONE_MORE).toBe("");
    const mend: Mend = { kind: "one-more-person" };
    expect(mended({ tasks: [task("a", "r1", 0)], walkS }, mend).tasks[0]?.who).toEqual(["ann", ONE_MORE]);
  });
});
