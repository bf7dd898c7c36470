/**
 * The schedule of what people's hands have to do: exact up to a dozen tasks, above it the best
 * found and whether it is known to be the best.
 */
import { atOnce, type Steps } from "../../eclipse/steps.ts";
import { isEachAlone, MOST_EXACT, scheduleEachAlone } from "./each-alone.ts";
import { halve } from "./halve.ts";
import { scheduleManySteps } from "./many-tasks.ts";
import { type HandsProblem, type Solution, slower, type Task } from "./task.ts";
import { type Found, scheduleTogetherSteps } from "./together.ts";

/** Above it a search takes too long, and sets no longer fit into the bits of a number. */
const MOST_SEARCHED = 30;

/** Which tasks hang together: by a person, a tool, or a rig's order. Parts that share nothing are solved apart. */
function partsOf(tasks: readonly Task[]): Task[][] {
  const parts: { tasks: Task[]; names: Set<string> }[] = [];
  for (const task of tasks) {
    const names = new Set(task.who.map((name) => `hands ${name}`));
    if (task.tool !== undefined) names.add(`tool ${task.tool}`);
    if (task.rank !== undefined) names.add(`rig ${task.rigId}`);
    const mine = parts.filter((part) => [...names].some((name) => part.names.has(name)));
    const joined = { tasks: [...mine.flatMap((part) => part.tasks), task], names };
    for (const part of mine) for (const name of part.names) joined.names.add(name);
    for (const part of mine) parts.splice(parts.indexOf(part), 1);
    parts.push(joined);
  }
  return parts.map((part) => part.tasks);
}

/** States looked at where people have to work together; and while a slack is looked for, again and again. */
const MOST_STEPS = 20_000;
const SLACK_STEPS = 2_000;

/** A dozen tasks are to be settled: they are looked at for so much longer. */
const FEW = 3;

/** The heaviest schedule that does all that must be done; where too many hang together, the best that rules find. */
export function solveHands(problem: HandsProblem): Solution {
  return atOnce(solveHandsSteps(problem));
}

/** The same with rests: a search of thirty tasks takes half a second. */
export function* solveHandsSteps(problem: HandsProblem, mostSteps = MOST_STEPS): Steps<Solution> {
  const placed = [];
  const dropped: string[] = [];
  let weight = 0;
  let exact = true;
  for (const tasks of partsOf(problem.tasks)) {
    const found = yield* solvePart({ ...problem, tasks }, mostSteps);
    exact &&= found.exact;
    if (!found.schedule) return { feasible: false, exact: found.exact };
    placed.push(...found.schedule.placed);
    dropped.push(...found.schedule.dropped);
    weight += found.schedule.weight;
  }
  placed.sort((a, b) => a.startS - b.startS);
  return { feasible: true, schedule: { placed, dropped, weight }, exact };
}

function* solvePart(part: HandsProblem, mostSteps: number): Steps<Found> {
  const { tasks } = part;
  if (tasks.length > MOST_SEARCHED) return { schedule: yield* scheduleManySteps(part), exact: false };
  return tasks.length <= MOST_EXACT && isEachAlone(tasks)
    ? { schedule: scheduleEachAlone(part), exact: true }
    : yield* scheduleTogetherSteps(part, tasks.length <= MOST_EXACT ? FEW * mostSteps : mostSteps);
}

/** Whether everything can be done, at whatever cost; where people work together, only if it is found soon. */
export function canDoAll(problem: HandsProblem): boolean {
  return atOnce(canDoAllSteps(problem));
}

export function* canDoAllSteps(problem: HandsProblem): Steps<boolean> {
  const tasks = problem.tasks.map((task) => ({ ...task, must: true }));
  return (yield* solveHandsSteps({ ...problem, tasks }, SLACK_STEPS)).feasible;
}

/** Beyond it a plan has time enough, s. */
export const MOST_SLACK_S = 30;

/**
 * How many whole seconds longer every task may take while everything is still done in time, 0 to
 * MOST_SLACK_S; null when not everything can be done as it is. Found by halving: who is slower
 * everywhere cannot do what who is quicker could not. Where people work together it is a least figure.
 */
export function slackS(problem: HandsProblem): number | null {
  return atOnce(slackSteps(problem));
}

export function* slackSteps(problem: HandsProblem): Steps<number | null> {
  const doesAll = (byS: number) => canDoAllSteps(slower(problem, byS));
  if (!(yield* doesAll(0))) return null;
  return yield* halve(0, MOST_SLACK_S + 1, doesAll);
}
