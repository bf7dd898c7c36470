/**
 * Whether the hands there are can carry a plan out: for every operator, in which order, with how
 * many seconds to spare, and what would mend it where they cannot.
 */
import type { Steps } from "../../eclipse/steps.ts";
import { type AnchorTimes, anchoredMs } from "../cue-times.ts";
import { ANCHORS, type Anchor } from "../model/vocabulary.ts";
import type { Allowance } from "../safety/allowance.ts";
import { crewsOf } from "./crews.ts";
import { findMends, type Mend } from "./mends.ts";
import { settleStarts } from "./settle-starts.ts";
import { MOST_SLACK_S, slackSteps, solveHandsSteps } from "./solve.ts";
import type { HandsProblem, Placed } from "./task.ts";
import { type CueTask, type HandsRig, handsOf, tasksOfRig } from "./tasks-of-plan.ts";

/** From one rig to another where nobody has drawn the field, s: common practice, no source. */
export const USUAL_WALK_S = 5;

export interface OrderedCue {
  rigId: string;
  cueId: string;
  /** Which of a series, 1 for the first. */
  n: number;
  /** Seconds from `anchor`, the nearest contact. */
  startS: number;
  endS: number;
  anchor: Anchor;
  /** Who does it with them, as the plan writes them; absent where nobody has to. */
  with?: string[];
}

export interface HandsOfOperator {
  /** As the plan writes it first; "" for a rig that names nobody. */
  operator: string;
  rigIds: string[];
  feasible: boolean;
  /** Everything may take so many seconds longer (MOST_SLACK_S or more reads MOST_SLACK_S); null where it does not fit as it is. */
  slackS: number | null;
  /** Whether this is known, or only the best that was found. */
  exact: boolean;
  order: OrderedCue[];
  /** What the best order leaves undone. */
  dropped: { rigId: string; cueId: string; atS: number; anchor: Anchor }[];
  mends: (Mend & { of: readonly CueTask[] })[];
}

export interface HandsPlan {
  rigs: readonly (HandsRig & { name: string })[];
  times: AnchorTimes;
  allowanceOf: (rigId: string) => Allowance | null;
  walkS?: HandsProblem["walkS"];
  /** Whether what would mend it is looked for, too; yes unless told. */
  mends?: boolean;
}

const usualWalk: HandsProblem["walkS"] = (from, to) => (from === to ? 0 : USUAL_WALK_S);

/** The nearest contact, and the seconds from it. */
function fromContact(atS: number, times: AnchorTimes): { anchor: Anchor; s: number } {
  let best: { anchor: Anchor; s: number } = { anchor: "max", s: Number.POSITIVE_INFINITY };
  for (const anchor of ANCHORS) {
    const ms = anchoredMs(times, anchor, 0);
    const s = ms === null ? Number.POSITIVE_INFINITY : atS - ms / 1000;
    if (anchor !== "max" && Math.abs(s) < Math.abs(best.s)) best = { anchor, s };
  }
  return Number.isFinite(best.s) ? best : { anchor: "max", s: atS - (times.max ?? 0) / 1000 };
}

/**
 * Rests of the search for mends in a whole plan: some seconds. A plan that would take longer is so
 * far from what hands can do that a few more mends help nobody.
 */
const MEND_RESTS = 1500;
/** Tasks of one stretch that are looked at, the heaviest: more is no plan for one pair of hands. */
const MOST_AT_ONCE = 300;

/** Everybody's hands over the whole plan, in steps of some ms. */
export function* planHands({
  rigs,
  times,
  allowanceOf,
  walkS = usualWalk,
  mends: mended = true,
}: HandsPlan): Steps<HandsOfOperator[]> {
  const people = new Map<string, Person>();
  const tasksOf = new Map<string, CueTask[]>();
  for (const rig of rigs) {
    const name = handsOf(rig);
    const person = people.get(name) ?? newPerson(rig);
    people.set(name, person);
    person.result.rigIds.push(rig.id);
    tasksOf.set(name, [...(tasksOf.get(name) ?? []), ...tasksOfRig(rig, times, allowanceOf(rig.id))]);
    yield;
  }
  const longestWayS = longestWay([...people.values()], tasksOf, rigs, walkS);
  let rests = MEND_RESTS;
  for (const crew of crewsOf(tasksOf, longestWayS)) {
    const [stretch, beyond] = heaviest(crew.tasks);
    // Also a plan that cannot be done has a best order: a must outweighs everything else.
    const problem = { tasks: stretch.map((task) => ({ ...task, must: false })), walkS };
    const solution = yield* solveHandsSteps(problem);
    yield;
    if (!solution.feasible) throw new Error("a schedule of nothing is always possible");
    const { placed, dropped } = solution.schedule;
    const task = (id: string) => stretch.find((one) => one.id === id) as CueTask;
    const due = (id: string) => task(id).dueS;
    for (const one of settleStarts(problem, placed, due))
      for (const name of one.who) {
        const others = one.who.filter((other) => other !== name).map((other) => nameOf(people, other));
        people.get(name)?.order.push({ atS: one.startS, cue: ordered(one, task(one.taskId), times, others) });
      }
    const undone = [...dropped.map(task), ...beyond];
    for (const { rigId, cueId, dueS, who, own = who[0] as string } of undone) {
      const { anchor, s } = fromContact(dueS, times);
      people.get(own)?.result.dropped.push({ rigId, cueId, anchor, atS: s });
    }
    const short = new Set(undone.map(({ who, own = who[0] as string }) => own));
    // Who leaves nothing undone has as much to spare as what is done then.
    const done = { ...problem, tasks: problem.tasks.filter(({ id }) => !dropped.includes(id)) };
    const slack = short.size === crew.owners.length ? null : yield* slackSteps(done);
    yield;
    let mends: HandsOfOperator["mends"] = [];
    // What helps within a part of a stretch does not help the whole.
    if (mended && short.size > 0 && beyond.length === 0) {
      const search = findMends({ tasks: stretch, walkS });
      let step = search.next();
      for (; !step.done && rests > 0; rests--) {
        yield;
        step = search.next();
      }
      if (step.done) mends = step.value.map((mend) => ({ ...mend, of: stretch }));
    }
    for (const name of crew.owners) {
      const result = people.get(name)?.result as HandsOfOperator;
      result.exact &&= solution.exact;
      const mine = short.has(name) ? null : slack;
      result.feasible &&= mine !== null;
      result.slackS = mine === null || result.slackS === null ? null : Math.min(result.slackS, mine);
      // Said once, at the first who needs it.
      if (short.has(name)) result.mends.push(...mends.splice(0));
    }
  }
  return [...people.values()].map(({ result, order }) => ({
    ...result,
    order: order.sort((a, b) => a.atS - b.atS).map(({ cue }) => cue),
  }));
}

interface Person {
  result: HandsOfOperator;
  /** By time on the scale of the contacts, s. */
  order: { atS: number; cue: OrderedCue }[];
}

function newPerson({ operator }: Pick<HandsRig, "operator">): Person {
  const result: HandsOfOperator = {
    operator: operator.trim(),
    rigIds: [],
    feasible: true,
    slackS: MOST_SLACK_S,
    exact: true,
    order: [],
    dropped: [],
    mends: [],
  };
  return { result, order: [] };
}

function nameOf(people: ReadonlyMap<string, Person>, name: string): string {
  const { operator, rigIds } = people.get(name)?.result ?? { operator: name, rigIds: [] };
  return operator === "" ? (rigIds[0] ?? name) : operator;
}

/** Between the rigs of one person; between all where people help each other or share a tool. */
function longestWay(
  people: readonly Person[],
  tasksOf: ReadonlyMap<string, readonly CueTask[]>,
  rigs: HandsPlan["rigs"],
  walkS: HandsProblem["walkS"],
): number {
  const longest = (ids: readonly string[]) =>
    ids.reduce((most, a) => ids.reduce((so, b) => Math.max(so, walkS(a, b)), most), 0);
  const shared = [...tasksOf.values()].some((tasks) =>
    tasks.some(({ people: count, tool }) => count === 2 || tool !== undefined),
  );
  return shared
    ? longest(rigs.map(({ id }) => id))
    : Math.max(0, ...people.map(({ result }) => longest(result.rigIds)));
}

/** The tasks of a stretch that are looked at, and those beyond; both by time. */
function heaviest(stretch: CueTask[]): [CueTask[], CueTask[]] {
  if (stretch.length <= MOST_AT_ONCE) return [stretch, []];
  const byWeight = [...stretch].sort((a, b) => b.weight - a.weight || a.dueS - b.dueS);
  const looked = new Set(byWeight.slice(0, MOST_AT_ONCE));
  return [stretch.filter((task) => looked.has(task)), stretch.filter((task) => !looked.has(task))];
}

function ordered({ startS, endS }: Placed, task: CueTask, times: AnchorTimes, others: string[]): OrderedCue {
  const { anchor, s } = fromContact(startS, times);
  const { rigId, cueId, n } = task;
  return {
    rigId,
    cueId,
    n,
    anchor,
    startS: s,
    endS: s + endS - startS,
    ...(others.length > 0 && { with: others }),
  };
}
