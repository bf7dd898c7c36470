/**
 * The schedule of hands against trying everything: orders, people, waiting. The brute force below
 * shares nothing with the solver but the meaning of a task.
 */
import { describe, expect, test } from "vitest";
import { scheduleMany } from "../../../../shared/plan/hands/many-tasks.ts";
import { settleStarts } from "../../../../shared/plan/hands/settle-starts.ts";
import { MOST_SLACK_S, slackS, solveHands } from "../../../../shared/plan/hands/solve.ts";
import type { HandsProblem, Solution, Task } from "../../../../shared/plan/hands/task.ts";
import { numbersFrom } from "../../../support/random.ts";

function someProblem(seed: number, together: boolean): HandsProblem {
  const next = numbersFrom(seed);
  const whole = (least: number, most: number) => least + Math.floor(next() * (most - least + 1));
  const names = ["ann", "ben", "cyd"].slice(0, whole(1, 3));
  const rigs = ["r1", "r2", "r3", "r4"].slice(0, whole(1, 4));
  const count = whole(1, 5);
  const tasks = Array.from({ length: count }, (_, i): Task => {
    const earliestS = whole(0, 40);
    const who = names.filter(() => next() < 0.7);
    const able = who.length === 0 ? [names[0] as string] : who;
    return {
      id: `t${i}`,
      rigId: rigs[whole(0, rigs.length - 1)] as string,
      earliestS,
      latestS: earliestS + whole(0, 15),
      durationS: whole(1, 10),
      who: able,
      people: together && able.length > 1 && next() < 0.3 ? 2 : 1,
      ...(together && next() < 0.3 ? { tool: "key" } : {}),
      ...(together && next() < 0.4 ? { own: able[0] } : {}),
      ...(next() < 0.4 ? { rank: whole(0, 3) } : {}),
      must: next() < 0.4,
      weight: whole(1, 5),
    };
  });
  return { tasks, walkS: (a, b) => (a === b ? 0 : 2 + Math.abs(rigs.indexOf(a) - rigs.indexOf(b))) };
}

/** The heaviest possible, or null: every subset, every order, every choice of people, each begun as early as it can. */
function bruteForce({ tasks, walkS }: HandsProblem): number | null {
  const names = [...new Set(tasks.flatMap(({ who }) => who))];
  let best: number | null = null;
  type At = Record<string, { s: number; rig: string | null }>;
  const go = (left: readonly Task[], at: At, weight: number, begun: Record<string, number>): void => {
    if (left.every(({ must }) => !must) && (best === null || weight > best)) best = weight;
    const done = tasks.filter((task) => !left.includes(task));
    const tooLate = (task: Task) =>
      done.some((other) => other.rigId === task.rigId && (other.rank ?? -1) > (task.rank ?? 9));
    for (const task of left) {
      const teams =
        task.people === 1
          ? task.who.map((name) => [name])
          : names.flatMap((a, i) =>
              names
                .slice(i + 1)
                .flatMap((b) => (task.who.includes(a) && task.who.includes(b) ? [[a, b]] : [])),
            );
      for (const team of teams) {
        if (task.own !== undefined && !team.includes(task.own)) continue;
        const needs = [...team, ...(task.tool === undefined ? [] : [`tool:${task.tool}`])];
        let start = task.earliestS;
        for (const need of needs) {
          const { s, rig } = at[need] ?? { s: Number.NEGATIVE_INFINITY, rig: null };
          start = Math.max(start, s + (rig === null ? 0 : walkS(rig, task.rigId)));
        }
        for (const other of done)
          if (other.rigId === task.rigId && (other.rank ?? 9) < (task.rank ?? -1))
            start = Math.max(start, begun[other.id] ?? 0);
        if (start > task.latestS || tooLate(task)) continue;
        const busy = Object.fromEntries(
          needs.map((need) => [need, { s: start + task.durationS, rig: task.rigId }]),
        );
        go(
          left.filter((other) => other !== task),
          { ...at, ...busy },
          weight + task.weight,
          { ...begun, [task.id]: start },
        );
      }
    }
  };
  go(tasks, {}, 0, {});
  return best;
}

/** Everything that makes a schedule one that people can carry out. */
function expectSound({ tasks, walkS }: HandsProblem, solution: Solution, name: string): void {
  if (!solution.feasible) return;
  const { placed, dropped } = solution.schedule;
  expect([...placed.map(({ taskId }) => taskId), ...dropped].sort(), name).toEqual(
    tasks.map(({ id }) => id).sort(),
  );
  const of = (id: string) => tasks.find((task) => task.id === id) as Task;
  for (const id of dropped) expect(of(id).must, name).toBe(false);
  for (const one of placed) {
    const task = of(one.taskId);
    expect(one.startS, name).toBeGreaterThanOrEqual(task.earliestS);
    expect(one.startS, name).toBeLessThanOrEqual(task.latestS);
    expect(one.endS - one.startS, name).toBeCloseTo(task.durationS, 9);
    expect(new Set(one.who).size, name).toBe(task.people);
    for (const person of one.who) expect(task.who, name).toContain(person);
    if (task.own !== undefined) expect(one.who, name).toContain(task.own);
    for (const other of placed) {
      if (other === one || other.startS < one.startS) continue;
      const later = of(other.taskId);
      if (later.rigId === task.rigId && other.startS > one.startS)
        expect((later.rank ?? 9) >= (task.rank ?? -1), `${name} order`).toBe(true);
      const shares =
        other.who.some((person) => one.who.includes(person)) ||
        (task.tool !== undefined && of(other.taskId).tool === task.tool);
      if (shares && other !== one)
        expect(
          other.startS >= one.endS + walkS(task.rigId, of(other.taskId).rigId) - 1e-9 ||
            one.startS >= other.endS + walkS(of(other.taskId).rigId, task.rigId) - 1e-9,
          name,
        ).toBe(true);
    }
  }
}

describe("against trying everything", () => {
  test.each([
    ["one person each", false, 1500],
    ["pairs and a shared tool", true, 1500],
  ])("%s: the same heaviest weight in random cases", (_, together, cases) => {
    let infeasible = 0;
    for (let seed = 1; seed <= cases; seed++) {
      const problem = someProblem(seed, together);
      const solution = solveHands(problem);
      const best = bruteForce(problem);
      const name = `seed ${seed}`;
      expect(solution.exact, name).toBe(true);
      expect(solution.feasible, name).toBe(best !== null);
      if (solution.feasible) expect(solution.schedule.weight, name).toBe(best);
      else infeasible++;
      expectSound(problem, solution, name);
      if (!solution.feasible) continue;
      // Begun when wanted, as far as the order allows, it is as sound.
      const wanted = (id: string) => 3 + ((seed + id.charCodeAt(1)) % 60);
      const placed = settleStarts(problem, solution.schedule.placed, (id) =>
        Math.max(wanted(id), problem.tasks.find((task) => task.id === id)?.earliestS ?? 0),
      );
      expectSound(problem, { ...solution, schedule: { ...solution.schedule, placed } }, name);
    }
    expect(infeasible).toBeGreaterThan(10);
  });
});

describe("more tasks than can be searched", () => {
  test("are placed soundly, and never better than trying everything could", () => {
    let [found, best] = [0, 0];
    for (let seed = 1; seed <= 1000; seed++) {
      const problem = someProblem(seed, true);
      const schedule = scheduleMany(problem);
      const most = bruteForce(problem);
      if (most === null) expect(schedule, `seed ${seed}`).toBeUndefined();
      if (!schedule || most === null) continue;
      expectSound(problem, { feasible: true, schedule, exact: false }, `seed ${seed}`);
      expect(schedule.weight).toBeLessThanOrEqual(most);
      found += 1;
      best += schedule.weight === most ? 1 : 0;
    }
    // Rules of thumb are to be good ones.
    expect(best / found).toBeGreaterThan(0.8);
  });

  test("a day of ten rigs in one pair of hands is answered, as the best that was found", () => {
    const rigs = Array.from({ length: 10 }, (_, i) => `r${i}`);
    const tasks = rigs.flatMap((rigId, i) =>
      [0, 1, 2, 3].map(
        (n): Task => ({
          id: `${rigId}/${n}`,
          rigId,
          earliestS: n * 100,
          latestS: n * 100 + 60 + i,
          durationS: 6,
          who: ["ann"],
          people: 1,
          rank: n,
          must: false,
          weight: n === 3 ? 1000 : 3,
        }),
      ),
    );
    const problem: HandsProblem = { tasks, walkS: (a, b) => (a === b ? 0 : 5) };
    const solution = solveHands(problem);
    expect(solution).toMatchObject({ feasible: true, exact: false });
    expectSound(problem, solution, "ten rigs");
    // 11 s each from 300 s, the last begun by 360 to 369 s: six or seven of the ten (arithmetic).
    const late = solution.feasible
      ? solution.schedule.placed.filter(({ taskId }) => taskId.endsWith("3"))
      : [];
    expect(late.length).toBeGreaterThanOrEqual(6);
  });
});

describe("slack", () => {
  const walkS = (a: string, b: string) => (a === b ? 0 : 5);
  const off = (rigId: string, earliestS: number, latestS: number): Task => ({
    id: rigId,
    rigId,
    earliestS,
    latestS,
    durationS: 5,
    who: ["ann"],
    people: 1,
    must: true,
    weight: 10,
  });

  test("is how much longer everything may take, by hand", () => {
    // Two filters, 5 s each and 5 s of walking, from 0 s, the second begun by 14 s: the first may take 4 s longer.
    expect(slackS({ tasks: [off("a", 0, 0), off("b", 0, 14)], walkS })).toBe(4);
    expect(slackS({ tasks: [off("a", 0, 0), off("b", 0, 9)], walkS })).toBeNull();
    expect(slackS({ tasks: [off("a", 0, 100)], walkS })).toBe(MOST_SLACK_S);
  });

  test("four filters in one pair of hands at one second cannot be done; within 40 s they can", () => {
    const rigs = ["a", "b", "c", "d"];
    const at = (earliestS: number) => ({ tasks: rigs.map((rig) => off(rig, earliestS, 0)), walkS });
    expect(solveHands(at(-5)).feasible).toBe(false);
    // Three times 5 s and 5 s of walking lie before the last begin: 30 s; with 40 s each may take 3 s longer.
    expect(solveHands(at(-30)).feasible).toBe(true);
    expect(slackS(at(-40))).toBe(3);
  });

  test("no plan has less slack than the same with more room", () => {
    for (let seed = 1; seed <= 200; seed++) {
      const problem = someProblem(seed, false);
      const wider = {
        ...problem,
        tasks: problem.tasks.map((task) => ({ ...task, latestS: task.latestS + 5 })),
      };
      expect(slackS(wider) ?? -1).toBeGreaterThanOrEqual(slackS(problem) ?? -1);
    }
  });
});
