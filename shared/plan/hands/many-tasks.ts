/**
 * A schedule of more tasks than can be searched: what weighs most is taken in first, one task after
 * the other, as long as everything taken in so far can still be done in time.
 *
 * Whether a set can be done is tried by rule: of all tasks that may be next, the one that can begin
 * soonest, the one whose time runs out first, or the best of both together. What is found is sound;
 * that there is nothing better is never claimed.
 */
import { atOnce, type Steps } from "../../eclipse/steps.ts";
import { type HandsProblem, type Placed, peopleOf, type Schedule, type Task } from "./task.ts";

interface Free {
  atS: number;
  rigId: string | null;
}

/** How much the earliest begin and the last moment of a task count for its turn. */
const RULES: readonly (readonly [soonest: number, urgent: number])[] = [
  [0, 1],
  [1, 1],
  [1, 0],
];

/** Tasks that are taken in one after the other, the heaviest: what is beyond is left undone. */
const MOST_TAKEN_IN = 200;

/** Undefined where not even all that must be done could be placed. Any number of tasks. */
export function scheduleMany(problem: HandsProblem): Schedule | undefined {
  return atOnce(scheduleManySteps(problem));
}

/** The same with a rest after each trial of a set. */
export function* scheduleManySteps({ tasks, walkS }: HandsProblem): Steps<Schedule | undefined> {
  const everything = yield* placeAll(tasks, walkS);
  if (everything) return scheduleOf(tasks, tasks, everything);
  const byWeight = [...tasks].sort((a, b) => Number(b.must) - Number(a.must) || b.weight - a.weight);
  if (byWeight[MOST_TAKEN_IN]?.must) return undefined;
  let taken: Task[] = [];
  let placed: Placed[] = [];
  for (const task of byWeight.slice(0, MOST_TAKEN_IN)) {
    const tried = yield* placeAll([...taken, task], walkS);
    if (tried) [taken, placed] = [[...taken, task], tried];
    else if (task.must) return undefined;
  }
  return scheduleOf(tasks, taken, placed);
}

function scheduleOf(tasks: readonly Task[], taken: readonly Task[], placed: Placed[]): Schedule {
  const done = new Set(taken.map(({ id }) => id));
  return {
    placed: placed.sort((a, b) => a.startS - b.startS),
    dropped: tasks.filter(({ id }) => !done.has(id)).map(({ id }) => id),
    weight: taken.reduce((sum, { weight }) => sum + weight, 0),
  };
}

function* placeAll(tasks: readonly Task[], walkS: HandsProblem["walkS"]): Steps<Placed[] | null> {
  for (const rule of RULES) {
    const placed = placeBy(tasks, walkS, rule);
    yield;
    if (placed) return placed;
  }
  return null;
}

/** Null as soon as one task has no time left. */
function placeBy(
  tasks: readonly Task[],
  walkS: HandsProblem["walkS"],
  [soonest, urgent]: readonly [number, number],
): Placed[] | null {
  const people = new Map<string, Free>(
    peopleOf(tasks).map((name) => [name, { atS: Number.NEGATIVE_INFINITY, rigId: null }]),
  );
  const tools = new Map<string, Free>();
  const begunAtRig = new Map<string, number>();
  const left = new Set(tasks);
  const order = new RigOrder(tasks);
  const placed: Placed[] = [];
  const arrivalS = ({ atS, rigId }: Free, task: Task) =>
    atS + (rigId === null ? 0 : walkS(rigId, task.rigId));
  while (left.size > 0) {
    let best: { task: Task; who: string[]; startS: number; turn: number } | undefined;
    for (const task of left) {
      if (!order.isNext(task)) continue;
      const crew = task.who
        .map((name) => ({ name, atS: arrivalS(people.get(name) as Free, task) }))
        .sort((a, b) => Number(b.name === task.own) - Number(a.name === task.own) || a.atS - b.atS)
        .slice(0, task.people);
      if (crew.length < task.people || (task.own !== undefined && crew[0]?.name !== task.own)) return null;
      const tool = task.tool === undefined ? undefined : tools.get(task.tool);
      const startS = Math.max(
        task.earliestS,
        task.rank === undefined
          ? Number.NEGATIVE_INFINITY
          : (begunAtRig.get(task.rigId) ?? Number.NEGATIVE_INFINITY),
        tool ? arrivalS(tool, task) : Number.NEGATIVE_INFINITY,
        ...crew.map(({ atS }) => atS),
      );
      if (startS > task.latestS) return null;
      const turn = soonest * startS + urgent * order.deadlineS(task);
      if (!best || turn < best.turn) best = { task, who: crew.map(({ name }) => name), startS, turn };
    }
    if (!best) return null;
    const { task, who, startS } = best;
    const free: Free = { atS: startS + task.durationS, rigId: task.rigId };
    for (const name of who) people.set(name, free);
    if (task.tool !== undefined) tools.set(task.tool, free);
    if (task.rank !== undefined) begunAtRig.set(task.rigId, startS);
    placed.push({ taskId: task.id, who, startS, endS: free.atS });
    left.delete(task);
    order.begin(task);
  }
  return placed;
}

/** Things at one rig are begun in its order: whatever has a rank, the least first. */
class RigOrder {
  /** How many of each rig's ranks are left, by rank. */
  private readonly left = new Map<string, { rank: number; count: number; deadlineS: number }[]>();

  constructor(tasks: readonly Task[]) {
    const ranked = tasks.filter(({ rank }) => rank !== undefined);
    for (const { rigId, rank, latestS } of ranked.sort((a, b) => (a.rank as number) - (b.rank as number))) {
      const ranks = this.left.get(rigId) ?? [];
      this.left.set(rigId, ranks);
      const last = ranks.at(-1);
      if (last && last.rank === rank) {
        last.count += 1;
        last.deadlineS = Math.min(last.deadlineS, latestS);
      } else ranks.push({ rank: rank as number, count: 1, deadlineS: latestS });
    }
    // A task that others wait for is as urgent as they are.
    for (const ranks of this.left.values())
      for (let i = ranks.length - 2; i >= 0; i--) {
        const [one, next] = [ranks[i], ranks[i + 1]];
        if (one && next) one.deadlineS = Math.min(one.deadlineS, next.deadlineS);
      }
  }

  isNext({ rigId, rank }: Task): boolean {
    return rank === undefined || this.left.get(rigId)?.[0]?.rank === rank;
  }

  /** Of a task that may be next. */
  deadlineS({ rigId, rank, latestS }: Task): number {
    return rank === undefined ? latestS : Math.min(latestS, this.left.get(rigId)?.[1]?.deadlineS ?? latestS);
  }

  begin({ rigId, rank }: Task): void {
    const ranks = this.left.get(rigId);
    const first = ranks?.[0];
    if (rank === undefined || !first) return;
    first.count -= 1;
    if (first.count === 0) ranks?.shift();
  }
}
