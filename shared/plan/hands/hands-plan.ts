/**
 * Whether the hands there are can carry a plan out: for every operator, in which order, with how
 * many seconds to spare, and what would mend it where they cannot.
 */
import type { Steps } from "../../eclipse/steps.ts";
import { type AnchorTimes, anchoredMs } from "../cue-times.ts";
import { ANCHORS, type Anchor } from "../model/vocabulary.ts";
import type { Allowance } from "../safety/allowance.ts";
import { findMends, type Mend } from "./mends.ts";
import { settleStarts } from "./settle-starts.ts";
import { MOST_SLACK_S, slackSteps, solveHandsSteps } from "./solve.ts";
import type { HandsProblem, Placed } from "./task.ts";
import { type CueTask, type HandsRig, handsOf, stretchesOf, tasksOfRig } from "./tasks-of-plan.ts";

/** From one rig to another where nobody has drawn the field, s: common practice, no source. */
export const USUAL_WALK_S = 5;

export interface OrderedCue {
  rigId: string;
  cueId: string;
  /** Seconds from `anchor`, the nearest contact. */
  startS: number;
  endS: number;
  anchor: Anchor;
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
}: HandsPlan): Steps<HandsOfOperator[]> {
  const byHands = new Map<string, (HandsRig & { name: string })[]>();
  for (const rig of rigs) {
    const hands = handsOf(rig);
    byHands.set(hands, [...(byHands.get(hands) ?? []), rig]);
  }
  const all: HandsOfOperator[] = [];
  let rests = MEND_RESTS;
  for (const mine of byHands.values()) {
    const tasks: CueTask[] = [];
    for (const rig of mine) {
      tasks.push(...tasksOfRig(rig, times, allowanceOf(rig.id)));
      yield;
    }
    const result: HandsOfOperator = {
      operator: mine[0]?.operator.trim() ?? "",
      rigIds: mine.map(({ id }) => id),
      feasible: true,
      slackS: MOST_SLACK_S,
      exact: true,
      order: [],
      dropped: [],
      mends: [],
    };
    const longestWayS = Math.max(0, ...mine.flatMap((a) => mine.map((b) => walkS(a.id, b.id))));
    for (const whole of stretchesOf(tasks, longestWayS)) {
      const [stretch, beyond] = heaviest(whole);
      // Also a plan that cannot be done has a best order: a must outweighs everything else.
      const problem = { tasks: stretch.map((task) => ({ ...task, must: false })), walkS };
      const solution = yield* solveHandsSteps(problem);
      yield;
      if (!solution.feasible) throw new Error("a schedule of nothing is always possible");
      const { placed, dropped } = solution.schedule;
      const task = (id: string) => stretch.find((one) => one.id === id) as CueTask;
      const due = (id: string) => task(id).dueS;
      const settled = settleStarts(problem, placed, due);
      result.order.push(...settled.map((one) => ordered(one, task(one.taskId), times)));
      for (const { rigId, cueId, dueS } of [...dropped.map(task), ...beyond]) {
        const { anchor, s } = fromContact(dueS, times);
        result.dropped.push({ rigId, cueId, anchor, atS: s });
      }
      result.exact &&= solution.exact;
      const slack = dropped.length + beyond.length > 0 ? null : yield* slackSteps(problem);
      yield;
      if (slack === null) {
        result.feasible = false;
        const search = findMends({ tasks: stretch, walkS });
        // What helps within a part of a stretch does not help the whole.
        let step = beyond.length > 0 ? null : search.next();
        for (; step && !step.done && rests > 0; rests--) {
          yield;
          step = search.next();
        }
        if (step?.done) result.mends.push(...step.value.map((mend) => ({ ...mend, of: stretch })));
      }
      result.slackS = slack === null || result.slackS === null ? null : Math.min(result.slackS, slack);
    }
    all.push(result);
  }
  return all;
}

/** The tasks of a stretch that are looked at, and those beyond; both by time. */
function heaviest(stretch: CueTask[]): [CueTask[], CueTask[]] {
  if (stretch.length <= MOST_AT_ONCE) return [stretch, []];
  const byWeight = [...stretch].sort((a, b) => b.weight - a.weight || a.dueS - b.dueS);
  const looked = new Set(byWeight.slice(0, MOST_AT_ONCE));
  return [stretch.filter((task) => looked.has(task)), stretch.filter((task) => !looked.has(task))];
}

function ordered({ startS, endS }: Placed, task: CueTask, times: AnchorTimes): OrderedCue {
  const { anchor, s } = fromContact(startS, times);
  return { rigId: task.rigId, cueId: task.cueId, anchor, startS: s, endS: s + endS - startS };
}
