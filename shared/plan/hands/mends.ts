/**
 * What would mend a plan that hands cannot carry out. Each mend is tried on the whole problem, so
 * that what is offered works. Nothing that must be done is ever offered to be dropped, and nothing
 * begins earlier than its rule allows (S3, S4).
 */
import type { Steps } from "../../eclipse/steps.ts";
import { halve } from "./halve.ts";
import { settleStarts } from "./settle-starts.ts";
import { canDoAllSteps, slackSteps, solveHandsSteps } from "./solve.ts";
import { type HandsProblem, peopleOf, type Task } from "./task.ts";

export type Change =
  /** Begin it so many seconds earlier than the plan has it, within what the rules allow. */
  | { kind: "earlier"; taskId: string; byS: number }
  | { kind: "drop"; taskId: string }
  /** A rig goes to somebody else's hands; `to` is ONE_MORE for a person who is not there yet. */
  | { kind: "hand-over"; rigId: string; to: string };

export interface Mend {
  changes: Change[];
  /** Whole seconds by which everything may take longer then; null where that could not be settled. */
  slackS: number | null;
}

/** Nobody's name: leads' names are text of at least one character. */
export const ONE_MORE = "";

/** The problem as it would be with some changes. */
export function changed(problem: HandsProblem, changes: readonly Change[]): HandsProblem {
  let { tasks } = problem;
  for (const change of changes) {
    if (change.kind === "drop") tasks = tasks.filter(({ id }) => id !== change.taskId);
    else if (change.kind === "hand-over") tasks = handedOver(tasks, change.rigId, change.to);
    else
      tasks = tasks.map((task) =>
        task.id === change.taskId ? { ...task, earliestS: task.earliestS - change.byS } : task,
      );
  }
  return { ...problem, tasks };
}

function ownersOf({ own, who }: Task): readonly string[] {
  return own === undefined ? who : [own];
}

/** Whoever takes a rig over may help, too; who has no rig left is not counted on any more. */
function handedOver(tasks: readonly Task[], rigId: string, to: string): readonly Task[] {
  const from = tasks.filter((task) => task.rigId === rigId).flatMap(ownersOf);
  const given = tasks.map((task) => {
    if (task.rigId !== rigId || task.people === 2) return task;
    return { ...task, who: [to] };
  });
  const keeps = new Set(given.filter((task) => task.rigId !== rigId).flatMap(ownersOf));
  const gone = from.filter((name) => name !== to && !keeps.has(name));
  return given.map((task) => {
    if (task.people === 1) return task;
    const who = [...new Set([...task.who.filter((name) => !gone.includes(name)), to])];
    return { ...task, who, ...(task.rigId === rigId && { own: to }) };
  });
}

/** Everything as early as its rule allows. */
function freed(problem: HandsProblem): HandsProblem {
  return {
    ...problem,
    tasks: problem.tasks.map((task) => ({
      ...task,
      earliestS: Math.min(task.earliestS, task.allowedEarliestS ?? task.earliestS),
    })),
  };
}

/**
 * The best that can be had by beginning earlier where that is allowed (`early`) and by leaving out
 * what need not be; null where not even what must be done can be.
 */
function* bestChanges(problem: HandsProblem, early: boolean): Steps<Change[] | null> {
  const asked = early ? freed(problem) : problem;
  const solution = yield* solveHandsSteps(asked);
  if (!solution.feasible) return null;
  const earliest = (id: string) => (problem.tasks.find((task) => task.id === id) as Task).earliestS;
  const changes: Change[] = [];
  // No earlier than the others need it to be.
  for (const { taskId, startS } of settleStarts(asked, solution.schedule.placed, earliest)) {
    const earliestS = earliest(taskId);
    if (startS < earliestS) changes.push({ kind: "earlier", taskId, byS: Math.ceil(earliestS - startS) });
  }
  changes.push(...solution.schedule.dropped.map((taskId): Change => ({ kind: "drop", taskId })));
  return changes;
}

/** The least whole number of seconds one task has to begin earlier; null when no allowed one helps. */
function* leastEarlier(problem: HandsProblem, task: Task): Steps<number | null> {
  const most = Math.floor(task.earliestS - (task.allowedEarliestS ?? task.earliestS));
  const helps = (byS: number) => canDoAllSteps(changed(problem, [{ kind: "earlier", taskId: task.id, byS }]));
  if (most <= 0 || !(yield* helps(most))) return null;
  return yield* halve(most, 0, helps);
}

/** Rigs that could go to other hands: one to each other person, two in exchange, one or two to one more. */
function* handOvers(problem: HandsProblem): Generator<Change[]> {
  const rigs = [...new Set(problem.tasks.map(({ rigId }) => rigId))];
  const handsOf = (rigId: string) => {
    const task = problem.tasks.find((one) => one.rigId === rigId);
    return task ? ownersOf(task) : [];
  };
  const over = (rigId: string, to: string): Change => ({ kind: "hand-over", rigId, to });
  for (const rigId of rigs)
    for (const to of peopleOf(problem.tasks)) if (!handsOf(rigId).includes(to)) yield [over(rigId, to)];
  for (const [i, a] of rigs.entries())
    for (const b of rigs.slice(i + 1)) {
      const [one, other] = [handsOf(a)[0], handsOf(b)[0]];
      if (one !== undefined && other !== undefined && one !== other) yield [over(a, other), over(b, one)];
    }
  for (const rigId of rigs) yield [over(rigId, ONE_MORE)];
  for (const [i, a] of rigs.entries())
    for (const b of rigs.slice(i + 1)) yield [over(a, ONE_MORE), over(b, ONE_MORE)];
}

/** Of one kind no more than these are offered: a choice, not a catalogue. */
const MOST_OF_A_KIND = 2;

/**
 * What would do, the gentlest first: one thing a little earlier, several earlier, rigs in other
 * hands, and what to leave out. Empty where everything can be done, and where nothing tried is
 * enough. In steps of some ms.
 */
export function* findMends(problem: HandsProblem): Steps<Mend[]> {
  if (yield* canDoAllSteps(problem)) return [];
  const mends: Mend[] = [];
  function* offer(changes: Change[]): Steps<void> {
    mends.push({ changes, slackS: yield* slackSteps(changed(problem, changes)) });
  }
  for (const task of problem.tasks) {
    const byS = yield* leastEarlier(problem, task);
    yield;
    if (byS !== null) yield* offer([{ kind: "earlier", taskId: task.id, byS }]);
    if (mends.length >= MOST_OF_A_KIND) break;
  }
  const early = yield* bestChanges(problem, true);
  yield;
  if (early && mends.length === 0 && !early.some(({ kind }) => kind === "drop") && early.length > 0)
    yield* offer(early);
  let handedOver = 0;
  for (const changes of handOvers(problem)) {
    if (yield* canDoAllSteps(changed(problem, changes))) {
      yield* offer(changes);
      if (++handedOver >= MOST_OF_A_KIND) break;
    }
    yield;
  }
  const left = yield* bestChanges(problem, false);
  yield;
  if (left) yield* offer(left);
  // Less is left out where things may begin earlier.
  const drops = (changes: readonly Change[]) => changes.filter(({ kind }) => kind === "drop").length;
  if (early && drops(early) > 0 && (!left || drops(early) < drops(left))) yield* offer(early);
  return mends;
}
