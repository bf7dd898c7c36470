/** What is offered to mend a plan that hands cannot carry out: worked by hand, and tried at random. */
import { describe, expect, test } from "vitest";
import { atOnce } from "../../../../shared/eclipse/steps.ts";
import { changed, findMends, ONE_MORE } from "../../../../shared/plan/hands/mends.ts";
import { canDoAll, slackS } from "../../../../shared/plan/hands/solve.ts";
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
const offered = (problem: HandsProblem) => atOnce(findMends(problem)).map(({ changes }) => changes);

describe("mends", () => {
  test("two filters at one second: one begins earlier, by what hands and way need", () => {
    const tasks = [
      task("a", "r1", -20, { must: true }),
      task("b", "r2", -20, { must: true, allowedEarliestS: -45 }),
    ];
    // b has to be over and walked from by −20: it begins 10 s earlier. Or another person takes one.
    expect(offered({ tasks, walkS })).toEqual([
      [{ kind: "earlier", taskId: "b", byS: 10 }],
      [{ kind: "hand-over", rigId: "r1", to: ONE_MORE }],
      [{ kind: "hand-over", rigId: "r2", to: ONE_MORE }],
    ]);
    // With 10 s of window for one of the two nothing has to change.
    expect(offered({ tasks: [task("a", "r1", -20, { latestS: -10 }), task("b", "r2", -20)], walkS })).toEqual(
      [],
    );
  });

  test("three at one second: two begin earlier, one after the other", () => {
    const tasks = ["a", "b", "c"].map((id) => task(id, id, 0, { must: true, allowedEarliestS: -30 }));
    const [first] = offered({ tasks, walkS });
    // −20, −10, 0: 5 s of hands and 5 s of walking each.
    expect(first?.map((change) => (change.kind === "earlier" ? change.byS : null)).sort()).toEqual([10, 20]);
  });

  test("what need not be done may be left out; what must be done never", () => {
    const tasks = [task("on", "r1", 0, { must: true }), task("burst", "r2", 0)];
    expect(offered({ tasks, walkS })).toContainEqual([{ kind: "drop", taskId: "burst" }]);
    const both = tasks.map((one) => ({ ...one, must: true }));
    expect(
      offered({ tasks: both, walkS })
        .flat()
        .some(({ kind }) => kind === "drop"),
    ).toBe(false);
  });

  test("two rigs change hands where that is enough", () => {
    const ben = { who: ["ben"] };
    const tasks = [
      task("a", "r1", 0),
      task("b", "r2", 0),
      task("c", "r3", 60, ben),
      task("d", "r4", 60, ben),
    ];
    // Each has two at once: giving one away only moves the trouble, an exchange ends it.
    expect(offered({ tasks, walkS })).toContainEqual([
      { kind: "hand-over", rigId: "r1", to: "ben" },
      { kind: "hand-over", rigId: "r3", to: "ann" },
    ]);
  });

  test("every mend that is offered works, names its slack and keeps the rules", () => {
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
      for (const { changes, slackS: slack } of atOnce(findMends(problem))) {
        const after = changed(problem, changes);
        expect(canDoAll(after)).toBe(true);
        expect(slack).toBe(slackS(after));
        for (const one of after.tasks) {
          const before = tasks.find(({ id }) => id === one.id) as Task;
          expect(one.earliestS).toBeGreaterThanOrEqual(before.allowedEarliestS as number);
        }
        for (const must of tasks.filter((one) => one.must))
          expect(after.tasks.map(({ id }) => id)).toContain(must.id);
        seen++;
      }
    }
    expect(seen).toBeGreaterThan(100);
  });
});
