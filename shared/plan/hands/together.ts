/**
 * The schedule where some tasks need two people or a tool that is there once: one search over all
 * people at once.
 *
 * Method: tasks are begun in order of time, each as early as its people and its tool allow; every
 * feasible schedule can be moved to such a one. States with the same tasks done and the same last
 * places are compared: one in which nobody is free earlier is dropped. Exact unless `mostSteps` is
 * reached; then the best found stands.
 */
import type { Steps } from "../../eclipse/steps.ts";
import { type HandsProblem, laterAtRig, type Placed, peopleOf, type Schedule, type Task } from "./task.ts";

interface Free {
  atS: number;
  rigId: string | null;
}

interface State {
  done: number;
  lastStartS: number;
  people: readonly Free[];
  tools: ReadonlyMap<string, Free>;
  placed: readonly Placed[];
  weight: number;
}

export interface Found {
  schedule: Schedule | undefined;
  exact: boolean;
}

/** States looked at between two rests: a few ms. */
const STATES_AT_ONCE = 64;

/** The heaviest schedule that does all that must be done. At most 30 tasks. */
export function* scheduleTogetherSteps(problem: HandsProblem, mostSteps: number): Steps<Found> {
  // Whether everything can be done is settled much sooner than what to leave out: asked first.
  const everything = problem.tasks.map((task) => ({ ...task, must: true }));
  const all = yield* search({ ...problem, tasks: everything }, mostSteps);
  if (all.schedule || problem.tasks.every(({ must }) => must)) return all;
  const found = yield* search(problem, mostSteps);
  return { ...found, exact: found.exact && all.exact };
}

function* search({ tasks, walkS }: HandsProblem, mostSteps: number): Steps<Found> {
  const n = tasks.length;
  const people = peopleOf(tasks);
  const all = tasks.reduce((sum, { weight }) => sum + weight, 0);
  const must = tasks.reduce((mask, task, i) => (task.must ? mask | (1 << i) : mask), 0);
  const byDeadline = tasks.map((_, i) => i).sort((a, b) => deadline(tasks, a) - deadline(tasks, b));
  const later = laterAtRig(tasks);
  const crews = tasks.map((task) => teams(task, people));
  const seen = new Map<string, number[][]>();
  let best: State | undefined;
  let steps = 0;

  const startOf = (task: Task, who: readonly number[], state: State): number => {
    const arrival = ({ atS, rigId }: Free) => atS + (rigId === null ? 0 : walkS(rigId, task.rigId));
    let at = Math.max(task.earliestS, state.lastStartS);
    for (const person of who) at = Math.max(at, arrival(state.people[person] as Free));
    const tool = task.tool === undefined ? undefined : state.tools.get(task.tool);
    return tool ? Math.max(at, arrival(tool)) : at;
  };
  const isDominated = (state: State): boolean => {
    const key = `${state.done}/${state.people.map(({ rigId }) => rigId ?? "").join()}/${[...state.tools].map(([tool, { rigId }]) => `${tool}@${rigId}`).sort()}`;
    const times = [state.lastStartS, ...state.people.map(({ atS }) => atS)];
    for (const [, { atS }] of [...state.tools].sort()) times.push(atS);
    const known = seen.get(key) ?? [];
    if (known.some((other) => other.every((t, i) => t <= (times[i] as number)))) return true;
    seen.set(key, [...known.filter((other) => !times.every((t, i) => t <= (other[i] as number))), times]);
    return false;
  };
  function* visit(state: State): Steps<void> {
    if ((state.done & must) === must && (!best || state.weight > best.weight)) best = state;
    if (best && best.weight >= all) return;
    if (++steps > mostSteps) return;
    if (steps % STATES_AT_ONCE === 0) yield;
    if (isDominated(state)) return;
    // A must that nobody can begin in time any more ends this way.
    for (let i = 0; i < n; i++) {
      if (state.done & (1 << i) || !(must & (1 << i))) continue;
      const task = tasks[i] as Task;
      if (state.done & (later[i] as number)) return;
      if (!(crews[i] as number[][]).some((who) => startOf(task, who, state) <= task.latestS)) return;
    }
    let canAdd = 0;
    for (let i = 0; i < n; i++)
      if (!(state.done & (1 << i)) && (tasks[i] as Task).latestS >= state.lastStartS)
        canAdd += (tasks[i] as Task).weight;
    if (best && state.weight + canAdd <= best.weight) return;
    for (const i of byDeadline) {
      if (state.done & ((1 << i) | (later[i] as number))) continue;
      const task = tasks[i] as Task;
      for (const who of crews[i] as number[][]) {
        const startS = startOf(task, who, state);
        if (startS > task.latestS) continue;
        yield* visit(begin(state, i, task, who, startS, people));
        if ((best && best.weight >= all) || steps > mostSteps) return;
      }
    }
  }
  const start: State = {
    done: 0,
    lastStartS: Number.NEGATIVE_INFINITY,
    people: people.map(() => ({ atS: Number.NEGATIVE_INFINITY, rigId: null })),
    tools: new Map(),
    placed: [],
    weight: 0,
  };
  yield* visit(start);
  const exact = steps <= mostSteps || (best?.weight ?? 0) >= all;
  if (!best) return { schedule: undefined, exact };
  const { done, placed, weight } = best;
  const dropped = tasks.filter((_, i) => !(done & (1 << i))).map(({ id }) => id);
  return { schedule: { placed: [...placed], dropped, weight }, exact };
}

function deadline(tasks: readonly Task[], i: number): number {
  return (tasks[i] as Task).latestS;
}

/** Who may do it: single people, or pairs of two different ones. */
function teams(task: Task, people: readonly string[]): number[][] {
  const may = people.flatMap((name, i) => (task.who.includes(name) ? [i] : []));
  if (task.people === 1) return may.map((i) => [i]);
  return may.flatMap((i, at) => may.slice(at + 1).map((j) => [i, j]));
}

function begin(
  state: State,
  i: number,
  task: Task,
  who: readonly number[],
  startS: number,
  names: readonly string[],
): State {
  const endS = startS + task.durationS;
  const free: Free = { atS: endS, rigId: task.rigId };
  const tools = task.tool === undefined ? state.tools : new Map(state.tools).set(task.tool, free);
  const placed: Placed = { taskId: task.id, who: who.map((p) => names[p] as string), startS, endS };
  return {
    done: state.done | (1 << i),
    lastStartS: startS,
    people: state.people.map((person, p) => (who.includes(p) ? free : person)),
    tools,
    placed: [...state.placed, placed],
    weight: state.weight + task.weight,
  };
}
