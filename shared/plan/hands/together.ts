/**
 * The schedule where some tasks need two people or a tool that is there once: one search over all
 * people at once.
 *
 * Method: tasks are begun in order of time, each as early as its people and its tool allow; every
 * feasible schedule can be moved to such a one. Three things keep the search small. What could have
 * been done meanwhile, at no cost to anything begun later, is not passed over (after Giffler &
 * Thompson 1960, walking included). States with the same tasks done are compared: one in which everybody
 * could be where they are in another, and no later, makes that one needless; who may do the same things
 * counts as the same person, and who can be anywhere in time as being nowhere. And what is left of weight
 * within reach must be enough to be better, less what people or a tool have no time for even if nobody
 * waited. Exact unless `mostSteps` is reached; then the best found stands.
 */
import type { Steps } from "../../eclipse/steps.ts";
import { type HandsProblem, laterAtRig, type Placed, peopleOf, type Schedule, type Task } from "./task.ts";

/** Whoever and whatever is needed (people first, then tools): from when it is free, and at which rig. */
interface State {
  done: number;
  weight: number;
  lastStartS: number;
  atS: readonly number[];
  /** Index of the rig; NOWHERE where it can be anywhere in time. */
  place: readonly number[];
  /** The step that led here; null at the beginning. */
  from: { state: State; task: number; crew: readonly number[]; startS: number } | null;
}

export interface Found {
  schedule: Schedule | undefined;
  exact: boolean;
}

const NOWHERE = -1;
/** States looked at between two rests: a few ms. */
const STATES_AT_ONCE = 128;

/** The heaviest schedule that does all that must be done. At most 30 tasks. */
export function* scheduleTogetherSteps(problem: HandsProblem, mostSteps: number): Steps<Found> {
  // Whether everything can be done is settled much sooner than what to leave out: asked first.
  const everything = problem.tasks.map((task) => ({ ...task, must: true }));
  const all = yield* search({ ...problem, tasks: everything }, mostSteps);
  if (all.schedule || problem.tasks.every(({ must }) => must)) return all;
  // Something has to be left out then: nothing better is looked for than without what weighs least.
  const least = Math.min(...problem.tasks.filter(({ must }) => !must).map(({ weight }) => weight));
  return yield* search(problem, mostSteps, all.exact ? least : 0);
}

/** `lostWeight`: so much at least has to be left out. */
function* search(problem: HandsProblem, mostSteps: number, lostWeight = 0): Steps<Found> {
  const field = fieldOf(problem);
  const { tasks, people, crews, must, later, earlier } = field;
  const whole = field.whole - lostWeight;
  const n = tasks.length;
  const known = new Map<number, Seen[]>();
  let best: State | undefined;
  let steps = 0;
  const stack: State[] = [field.beginning];
  while (stack.length > 0) {
    const state = stack.pop() as State;
    if ((state.done & must) === must && (!best || state.weight > best.weight)) best = state;
    if (best && best.weight >= whole) break;
    if (++steps > mostSteps) break;
    if (steps % STATES_AT_ONCE === 0) yield;
    if (isDominated(known, field, state)) continue;
    // Every begin that is possible from here, and what can still be had at best.
    const options: { task: number; crew: readonly number[]; startS: number }[] = [];
    let reach = state.weight;
    let lost = false;
    let open = 0;
    const enough = best?.weight ?? Number.NEGATIVE_INFINITY;
    let soonest = Number.POSITIVE_INFINITY;
    for (let i = 0; i < n && !lost; i++) {
      if (state.done & (1 << i)) continue;
      const task = tasks[i] as Task;
      let can = false;
      if (!(state.done & (later[i] as number)))
        for (const crew of crews[i] as number[][]) {
          const startS = startOf(field, i, crew, state);
          if (startS > task.latestS) continue;
          can = true;
          options.push({ task: i, crew, startS });
          // Begun now, it would be over and everybody anywhere again by then; unless it bars what its rig's order puts before it.
          if (((earlier[i] as number) & ~state.done) === 0)
            soonest = Math.min(
              soonest,
              startS + task.durationS + (field.longestFromS[field.rigOf[i] as number] as number),
            );
        }
      if (can) {
        reach += task.weight;
        open |= 1 << i;
      } else if (must & (1 << i)) lost = true;
    }
    if (lost || reach <= enough) continue;
    if (reach - tooMuchWork(field, state, open) <= enough) continue;
    // The last pushed is looked at first: what runs out soonest.
    options.sort((a, b) => deadline(tasks, b.task) - deadline(tasks, a.task) || b.startS - a.startS);
    for (const option of options)
      if (option.startS < soonest || option.startS === state.lastStartS)
        stack.push(begun(field, state, option));
  }
  const exact = steps <= mostSteps || (best?.weight ?? 0) >= whole;
  if (!best) return { schedule: undefined, exact };
  const placed: Placed[] = [];
  for (let at = best.from; at; at = at.state.from) {
    const task = tasks[at.task] as Task;
    const who = at.crew.map((p) => people[p] as string);
    placed.unshift({ taskId: task.id, who, startS: at.startS, endS: at.startS + task.durationS });
  }
  const { done, weight } = best;
  const dropped = tasks.filter((_, i) => !(done & (1 << i))).map(({ id }) => id);
  return { schedule: { placed, dropped, weight }, exact };
}

/**
 * What weight at least has to be left out of the open tasks, because people, one of them, or a tool
 * would need more time than there is until the last of some of them has to be over (walking and gaps
 * left out: a bound); infinite where that is what must be done.
 */
function tooMuchWork({ tasks, rigOf, byEnd, users, leastWalkS }: Field, state: State, open: number): number {
  let most = 0;
  for (const { needs, amount } of users) {
    let work = 0;
    let ways = 0;
    let rigs = 0;
    for (const one of needs) if (state.place[one] !== NOWHERE) rigs |= 1 << (state.place[one] as number);
    let firstS = Number.POSITIVE_INFINITY;
    let canGo = 0;
    let leastWeight = Number.POSITIVE_INFINITY;
    let leastRate = Number.POSITIVE_INFINITY;
    for (const i of byEnd) {
      const takes = amount[i] as number;
      if (takes === 0 || !(open & (1 << i))) continue;
      const task = tasks[i] as Task;
      work += takes;
      const rig = 1 << (rigOf[i] as number);
      if (!(rigs & rig)) ways++;
      rigs |= rig;
      if (task.earliestS < firstS) firstS = task.earliestS;
      if (!task.must) {
        canGo += takes + leastWalkS;
        if (task.weight < leastWeight) leastWeight = task.weight;
        const frees = takes + leastWalkS;
        if (task.weight / frees < leastRate) leastRate = task.weight / frees;
      }
      const endS = task.latestS + task.durationS;
      const sinceS = Math.max(firstS, state.lastStartS);
      let roomS = 0;
      // Whoever is free before may be anywhere by then.
      let toWalk = ways;
      for (const one of needs) {
        const atS = state.atS[one] as number;
        roomS += Math.max(0, endS - Math.max(sinceS, atS));
        if (atS < sinceS) toWalk--;
      }
      const excess = work + Math.max(0, toWalk) * leastWalkS - roomS;
      if (excess <= 1e-9) continue;
      if (canGo < excess - 1e-9) return Number.POSITIVE_INFINITY;
      most = Math.max(most, leastWeight, excess * leastRate - 1e-9);
    }
  }
  return most;
}

interface Field {
  tasks: readonly Task[];
  people: readonly string[];
  /** For each task: who may do it, as indices of people. */
  crews: readonly number[][][];
  /** For each task: its place, and its tool as an index beside the people; -1 for none. */
  rigOf: readonly number[];
  toolOf: readonly number[];
  walkS: readonly (readonly number[])[];
  /** For each rig: to the furthest other one. */
  longestFromS: readonly number[];
  must: number;
  later: readonly number[];
  earlier: readonly number[];
  whole: number;
  /** Tasks by when they have to be over at the latest. */
  byEnd: readonly number[];
  /** Some way is shorter by a third rig: then who is elsewhere is not compared. */
  goesRound: boolean;
  /** Between any two rigs, at least. */
  leastWalkS: number;
  /** Who or what is needed together, and for how long by each task, in seconds of one of them. */
  users: readonly { needs: readonly number[]; amount: readonly number[] }[];
  /** People who may do the very same tasks, by index, in groups; a tool is alone. */
  alike: readonly number[][];
  beginning: State;
}

function fieldOf({ tasks, walkS }: HandsProblem): Field {
  const people = peopleOf(tasks);
  const tools = [...new Set(tasks.flatMap(({ tool }) => (tool === undefined ? [] : [tool])))];
  const rigs = [...new Set(tasks.map(({ rigId }) => rigId))];
  const crews = tasks.map((task) => teams(task, people));
  const walks = rigs.map((from) => rigs.map((to) => walkS(from, to)));
  const rigOf = tasks.map(({ rigId }) => rigs.indexOf(rigId));
  const later = laterAtRig(tasks);
  const groups = new Map<string, number[]>();
  for (const [p, name] of people.entries()) {
    const may = tasks.map(({ who, own }) => (own === name ? "o" : who.includes(name) ? "x" : "-")).join("");
    groups.set(may, [...(groups.get(may) ?? []), p]);
  }
  const size = people.length + tools.length;
  const users = [
    { needs: people.map((_, p) => p), amount: tasks.map((task) => task.people * task.durationS) },
    // What nobody else can do in somebody's place.
    ...people.map((name, p) => ({
      needs: [p],
      amount: tasks.map((task) =>
        task.own === name || (task.who.length === task.people && task.who.includes(name))
          ? task.durationS
          : 0,
      ),
    })),
    ...tools.map((tool, t) => ({
      needs: [people.length + t],
      amount: tasks.map((task) => (task.tool === tool ? task.durationS : 0)),
    })),
  ].filter(({ amount }) => amount.some((one) => one > 0));
  const endS = (i: number) => (tasks[i] as Task).latestS + (tasks[i] as Task).durationS;
  const apart = walks.flatMap((ways, from) => ways.filter((_, to) => to !== from));
  return {
    goesRound: walks.some((ways) =>
      ways.some((direct, to) => ways.some((half, by) => half + (walks[by]?.[to] as number) < direct)),
    ),
    leastWalkS: apart.length === 0 ? 0 : Math.min(...apart),
    users,
    byEnd: tasks.map((_, i) => i).sort((a, b) => endS(a) - endS(b)),
    tasks,
    people,
    crews,
    rigOf,
    toolOf: tasks.map(({ tool }) => (tool === undefined ? -1 : people.length + tools.indexOf(tool))),
    walkS: walks,
    longestFromS: walks.map((ways) => Math.max(0, ...ways)),
    must: tasks.reduce((mask, task, i) => (task.must ? mask | (1 << i) : mask), 0),
    later,
    earlier: tasks.map((_, i) =>
      later.reduce((mask, barred, j) => (barred & (1 << i) ? mask | (1 << j) : mask), 0),
    ),
    whole: tasks.reduce((sum, { weight }) => sum + weight, 0),
    alike: [...groups.values(), ...tools.map((_, i) => [people.length + i])],
    beginning: {
      done: 0,
      weight: 0,
      lastStartS: Number.NEGATIVE_INFINITY,
      atS: new Array<number>(size).fill(Number.NEGATIVE_INFINITY),
      place: new Array<number>(size).fill(NOWHERE),
      from: null,
    },
  };
}

function startOf(
  { tasks, rigOf, toolOf, walkS }: Field,
  i: number,
  crew: readonly number[],
  state: State,
): number {
  const to = rigOf[i] as number;
  const arrivalS = (one: number) => {
    const from = state.place[one] as number;
    return (state.atS[one] as number) + (from === NOWHERE ? 0 : (walkS[from]?.[to] as number));
  };
  let at = Math.max((tasks[i] as Task).earliestS, state.lastStartS);
  for (const one of crew) at = Math.max(at, arrivalS(one));
  const tool = toolOf[i] as number;
  return tool < 0 ? at : Math.max(at, arrivalS(tool));
}

function begun(
  { tasks, rigOf, toolOf, longestFromS }: Field,
  state: State,
  { task: i, crew, startS }: { task: number; crew: readonly number[]; startS: number },
): State {
  const task = tasks[i] as Task;
  const atS = [...state.atS];
  const place = [...state.place];
  const tool = toolOf[i] as number;
  for (const one of tool < 0 ? crew : [...crew, tool]) {
    atS[one] = startS + task.durationS;
    place[one] = rigOf[i] as number;
  }
  // Whoever could be at any rig by now is as good as anybody who has not begun yet.
  for (let one = 0; one < atS.length; one++) {
    const at = place[one] as number;
    if (at === NOWHERE) continue;
    if ((atS[one] as number) + (longestFromS[at] as number) > startS) continue;
    atS[one] = Number.NEGATIVE_INFINITY;
    place[one] = NOWHERE;
  }
  return {
    done: state.done | (1 << i),
    weight: state.weight + task.weight,
    lastStartS: startS,
    atS,
    place,
    from: { state, task: i, crew, startS },
  };
}

/** A state as it is compared: who may do the same things in one order. */
interface Seen {
  lastStartS: number;
  atS: number[];
  place: number[];
}

/**
 * Whether a state was seen in which the same is done and everybody could be where they are now, and
 * no later. Keeps it where not.
 */
function isDominated(known: Map<number, Seen[]>, field: Field, state: State): boolean {
  const one = seenAs(field, state);
  const others = known.get(state.done);
  if (!others) {
    known.set(state.done, [one]);
    return false;
  }
  let kept = 0;
  for (const other of others) {
    if (isNoLater(field, other, one)) return true;
    if (!isNoLater(field, one, other)) others[kept++] = other;
  }
  others.length = kept;
  others.push(one);
  return false;
}

function seenAs({ alike }: Field, { lastStartS, atS, place }: State): Seen {
  const seen: Seen = { lastStartS, atS: [], place: [] };
  for (const group of alike) {
    const sorted =
      group.length === 1
        ? group
        : [...group].sort(
            (a, b) =>
              (place[a] as number) - (place[b] as number) || (atS[a] as number) - (atS[b] as number) || 0,
          );
    for (const one of sorted) {
      seen.atS.push(atS[one] as number);
      seen.place.push(place[one] as number);
    }
  }
  return seen;
}

function isNoLater({ walkS, goesRound }: Field, a: Seen, b: Seen): boolean {
  if (a.lastStartS > b.lastStartS) return false;
  for (let i = 0; i < a.atS.length; i++) {
    const [from, to] = [a.place[i] as number, b.place[i] as number];
    if (from === NOWHERE) continue;
    if (to === NOWHERE || (goesRound && from !== to)) return false;
    const atS = (a.atS[i] as number) + (from === to ? 0 : (walkS[from]?.[to] as number));
    if (atS > (b.atS[i] as number)) return false;
  }
  return true;
}

function deadline(tasks: readonly Task[], i: number): number {
  return (tasks[i] as Task).latestS;
}

/** Who may do it: single people, or pairs of two different ones; where it is somebody's own, with them. */
function teams({ who, people: count, own }: Task, people: readonly string[]): number[][] {
  const may = people.flatMap((name, i) => (who.includes(name) ? [i] : []));
  const all =
    count === 1 ? may.map((i) => [i]) : may.flatMap((i, at) => may.slice(at + 1).map((j) => [i, j]));
  return own === undefined ? all : all.filter((crew) => crew.some((i) => people[i] === own));
}
