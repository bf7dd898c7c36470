/**
 * What would mend a plan that hands cannot carry out: one change at a time, each tried on the whole
 * problem, so that what is offered works. Nothing that must be done is ever offered to be dropped,
 * and nothing begins earlier than its rule allows (S3, S4).
 */
import { slackS, solveHands } from "./solve.ts";
import { type HandsProblem, peopleOf, type Task } from "./task.ts";

export type Mend =
  /** Begin it so many seconds earlier than the plan has it, within what the rules allow. */
  | { kind: "earlier"; taskId: string; byS: number }
  | { kind: "drop"; taskId: string }
  /** One person more, who may do anything. */
  | { kind: "one-more-person" }
  /** Two rigs change hands. */
  | { kind: "swap-rigs"; rigId: string; withRigId: string };

export interface OfferedMend {
  mend: Mend;
  /** Whole seconds by which everything may take longer then; null where that could not be settled. */
  slackS: number | null;
}

/** Nobody's name: leads' names are text of at least one character. */
export const ONE_MORE = "";

/** The problem as it would be with a mend. */
export function mended(problem: HandsProblem, mend: Mend): HandsProblem {
  const change = (tasks: readonly Task[]) => ({ ...problem, tasks });
  const { tasks } = problem;
  if (mend.kind === "earlier")
    return change(
      tasks.map((task) =>
        task.id === mend.taskId ? { ...task, earliestS: task.earliestS - mend.byS } : task,
      ),
    );
  if (mend.kind === "drop") return change(tasks.filter(({ id }) => id !== mend.taskId));
  if (mend.kind === "one-more-person")
    return change(tasks.map((task) => ({ ...task, who: [...task.who, ONE_MORE] })));
  const handsOf = (rigId: string) => tasks.find((task) => task.rigId === rigId)?.who ?? [];
  const [first, second] = [handsOf(mend.rigId), handsOf(mend.withRigId)];
  return change(
    tasks.map((task) => {
      if (task.rigId === mend.rigId) return { ...task, who: second };
      return task.rigId === mend.withRigId ? { ...task, who: first } : task;
    }),
  );
}

/** Whether everything can be done. */
function doesAll(problem: HandsProblem): boolean {
  const tasks = problem.tasks.map((task) => ({ ...task, must: true }));
  return solveHands({ ...problem, tasks }).feasible;
}

/** The least whole number of seconds a task has to begin earlier; null when no allowed one helps. */
function leastEarlier(problem: HandsProblem, task: Task): number | null {
  const most = Math.floor(task.earliestS - (task.allowedEarliestS ?? task.earliestS));
  const helps = (byS: number) => doesAll(mended(problem, { kind: "earlier", taskId: task.id, byS }));
  if (most <= 0 || !helps(most)) return null;
  let [bad, good] = [0, most];
  while (good - bad > 1) {
    const middle = (good + bad) >> 1;
    if (helps(middle)) good = middle;
    else bad = middle;
  }
  return good;
}

/**
 * Single changes after which everything can be done, the gentlest kind first: an earlier start, two
 * rigs swapped, one thing dropped, a person more. Empty where no single change is enough.
 */
export function mendsOf(problem: HandsProblem): OfferedMend[] {
  if (doesAll(problem)) return [];
  const offers: OfferedMend[] = [];
  const offer = (mend: Mend) => offers.push({ mend, slackS: slackS(mended(problem, mend)) });
  for (const task of problem.tasks) {
    const byS = leastEarlier(problem, task);
    if (byS !== null) offer({ kind: "earlier", taskId: task.id, byS });
  }
  const rigs = [...new Set(problem.tasks.map(({ rigId }) => rigId))];
  const hands = (rigId: string) => problem.tasks.find((task) => task.rigId === rigId)?.who.join("\n");
  for (const [i, rigId] of rigs.entries())
    for (const withRigId of rigs.slice(i + 1)) {
      if (hands(rigId) === hands(withRigId)) continue;
      const mend: Mend = { kind: "swap-rigs", rigId, withRigId };
      if (doesAll(mended(problem, mend))) offer(mend);
    }
  for (const task of [...problem.tasks].sort((a, b) => a.weight - b.weight)) {
    const mend: Mend = { kind: "drop", taskId: task.id };
    if (!task.must && doesAll(mended(problem, mend))) offer(mend);
  }
  if (peopleOf(problem.tasks).length > 0 && doesAll(mended(problem, { kind: "one-more-person" })))
    offer({ kind: "one-more-person" });
  return offers;
}
