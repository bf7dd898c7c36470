/**
 * A schedule of more tasks than can be searched: what weighs most is taken in first, one task after
 * the other, as long as everything taken in so far can still be done in time.
 *
 * Whether a set can be done is tried by rule: of all tasks that may be next, the one that can begin
 * soonest, the one whose time runs out first, or the best of both together. What is found is sound;
 * that there is nothing better is never claimed.
 */
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

/** Undefined where not even all that must be done could be placed. Any number of tasks. */
export function scheduleMany({ tasks, walkS }: HandsProblem): Schedule | undefined {
  const everything = placeAll(tasks, walkS);
  if (everything) return scheduleOf(tasks, tasks, everything);
  const byWeight = [...tasks].sort((a, b) => Number(b.must) - Number(a.must) || b.weight - a.weight);
  let taken: Task[] = [];
  let placed: Placed[] = [];
  for (const task of byWeight) {
    const tried = placeAll([...taken, task], walkS);
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

function placeAll(tasks: readonly Task[], walkS: HandsProblem["walkS"]): Placed[] | null {
  for (const rule of RULES) {
    const placed = placeBy(tasks, walkS, rule);
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
  const placed: Placed[] = [];
  const arrivalS = ({ atS, rigId }: Free, task: Task) =>
    atS + (rigId === null ? 0 : walkS(rigId, task.rigId));
  while (left.size > 0) {
    let best: { task: Task; who: string[]; startS: number; turn: number } | undefined;
    for (const task of left) {
      if (!isNextAtRig(task, left)) continue;
      const crew = task.who
        .map((name) => ({ name, atS: arrivalS(people.get(name) as Free, task) }))
        .sort((a, b) => a.atS - b.atS)
        .slice(0, task.people);
      if (crew.length < task.people) return null;
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
      const turn = soonest * startS + urgent * deadlineS(task, left);
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
  }
  return placed;
}

/** Things at one rig are begun in its order. */
function isNextAtRig(task: Task, left: ReadonlySet<Task>): boolean {
  return [...left].every((other) => !comesBefore(other, task));
}

/** A task that others wait for is as urgent as they are. */
function deadlineS(task: Task, left: ReadonlySet<Task>): number {
  let least = task.latestS;
  for (const other of left) if (comesBefore(task, other)) least = Math.min(least, other.latestS);
  return least;
}

function comesBefore(a: Task, b: Task): boolean {
  return a.rigId === b.rigId && a.rank !== undefined && b.rank !== undefined && a.rank < b.rank;
}
