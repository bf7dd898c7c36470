/**
 * Practice runs side by side: is it better or not, what is still slow, how long do hands need. Each rig
 * with each of its operators by itself; what a simulated operator did is shown and judges nobody.
 *
 * Hands: from a cue's time to its confirmation, in runs at the real pace (hands do not go faster because
 * a clock does). It has the reaction in it, as the plan's own figure should. Where at least three runs
 * have it and their median is two seconds or more from the plan's, it is offered. Common practice, no source.
 */
import type { Rig } from "../plan/model/plan.ts";
import { median } from "./median.ts";
import type { Practised, Review, ReviewedCue } from "./review.ts";
import { type Counts, countsOf, SCORES } from "./scores.ts";

export interface RigRun {
  runId: string;
  startedUtcMs: number;
  rate: number;
  /** A simulated operator did it. */
  played: boolean;
  counts: Counts;
  /** Median of what was done, from due to done, s of run time; null where nothing was. */
  latenessS: number | null;
  closedAfterC3S: number | null;
  openS: number;
}

export interface SlowCue {
  cueId: string;
  action: ReviewedCue["action"];
  /** Of so many of the newest runs so many were late or missed. */
  late: number;
  ofRuns: number;
}

export interface HandsOffer {
  /** As the plan has it, without the number of a repeat. */
  cueId: string;
  action: ReviewedCue["action"];
  plannedS: number;
  measuredS: number;
  ofRuns: number;
}

export interface ComparedRig {
  rigId: string;
  name: string;
  operator: string;
  runs: RigRun[];
  /** The last run against the median of those before it; null before there are two. */
  trend: "better" | "same" | "worse" | null;
  slow: SlowCue[];
  hands: HandsOffer[];
}

export interface ComparedRun extends Practised {
  runId: string;
  counts: Counts;
  /** From C3 to when the last filter was on; null where none was open or one stayed so. */
  allOnAfterC3S: number | null;
}

export interface Comparison {
  runs: ComparedRun[];
  rigs: ComparedRig[];
}

/** Runs that count for what is slow now and for hands. */
const NEWEST = 5;
const HANDS_RUNS = 3;
const HANDS_DIFFER_S = 2;
/** A share of cues on time, and a median lateness in s, that make a difference. */
const SHARE_DIFFERS = 0.1;
const LATENESS_DIFFERS_S = 1;

/** `reviews` in order of their start, at most one of each run; `plan`: the rigs as they are planned now. */
export function compareRuns(
  reviews: readonly Review[],
  plan: readonly Pick<Rig, "id" | "cues">[],
): Comparison {
  const practised = reviews.filter((one) => one.practice !== null && one.cues.length > 0);
  const pairs = new Map<string, { rig: Review["rigs"][number]; reviews: Review[] }>();
  for (const review of practised) {
    for (const rig of review.rigs) {
      if (!review.cues.some(({ rigId }) => rigId === rig.id)) continue;
      const key = JSON.stringify([rig.id, rig.operator]);
      const pair = pairs.get(key) ?? { rig, reviews: [] };
      pair.rig = rig;
      pair.reviews.push(review);
      pairs.set(key, pair);
    }
  }
  return {
    runs: practised.map((review) => ({
      runId: review.runId,
      ...(review.practice as Practised),
      counts: countsOf(review.cues),
      allOnAfterC3S: allOnAfterC3S(review),
    })),
    rigs: [...pairs.values()].map(({ rig, reviews: mine }) => {
      const runs = mine.map((review) => rigRun(rig.id, review));
      const own = mine.filter((review) => !review.played.includes(rig.id));
      return {
        rigId: rig.id,
        name: rig.name,
        operator: rig.operator,
        runs,
        trend: trendOf(runs.filter(({ played }) => !played)),
        slow: slowCues(rig.id, own.slice(-NEWEST)),
        hands: handsOffers(rig.id, own, plan.find(({ id }) => id === rig.id)?.cues ?? []),
      };
    }),
  };
}

function rigRun(rigId: string, review: Review): RigRun {
  const cues = review.cues.filter((cue) => cue.rigId === rigId);
  const filter = review.filters.find((one) => one.rigId === rigId);
  return {
    runId: review.runId,
    startedUtcMs: review.practice?.startedUtcMs ?? 0,
    rate: review.practice?.rate ?? 1,
    played: review.played.includes(rigId),
    counts: countsOf(cues),
    latenessS: median(cues.flatMap((cue) => latenessS(cue) ?? [])),
    closedAfterC3S: filter?.closedAfterC3S ?? null,
    openS: filter?.openS ?? 0,
  };
}

/** From C3 to when the last filter was on; null where none was open or one stayed so. */
export function allOnAfterC3S({ filters }: Pick<Review, "filters">): number | null {
  const opened = filters.filter(({ open }) => open.length > 0);
  if (opened.length === 0 || opened.some(({ open }) => open.at(-1)?.closed === false)) return null;
  const after = opened.flatMap(({ closedAfterC3S }) => closedAfterC3S ?? []);
  return after.length === 0 ? null : Math.max(...after);
}

function trendOf(runs: readonly RigRun[]): ComparedRig["trend"] {
  const last = runs.at(-1);
  const before = runs.slice(0, -1);
  if (!last || before.length === 0) return null;
  const gain = share(last) - (median(before.map(share)) as number);
  if (Math.abs(gain) >= SHARE_DIFFERS) return gain > 0 ? "better" : "worse";
  const usualS = median(before.flatMap(({ latenessS }) => latenessS ?? []));
  if (usualS === null || last.latenessS === null) return "same";
  const laterS = last.latenessS - usualS;
  return Math.abs(laterS) < LATENESS_DIFFERS_S ? "same" : laterS < 0 ? "better" : "worse";
}

function share({ counts }: RigRun): number {
  const all = SCORES.reduce((sum, score) => sum + counts[score], 0);
  return all === 0 ? 1 : counts["on time"] / all;
}

function slowCues(rigId: string, reviews: readonly Review[]): SlowCue[] {
  const seen = new Map<string, SlowCue>();
  for (const review of reviews) {
    for (const cue of review.cues) {
      if (cue.rigId !== rigId) continue;
      const known = seen.get(cue.cueId) ?? { cueId: cue.cueId, action: cue.action, late: 0, ofRuns: 0 };
      known.ofRuns++;
      if (cue.score === "late" || cue.score === "missed") known.late++;
      seen.set(cue.cueId, known);
    }
  }
  return [...seen.values()]
    .filter(({ late, ofRuns }) => late > 0 && late * 2 >= ofRuns)
    .sort((a, b) => b.late / b.ofRuns - a.late / a.ofRuns || b.late - a.late);
}

function handsOffers(rigId: string, reviews: readonly Review[], planned: Rig["cues"]): HandsOffer[] {
  const paced = reviews.filter(({ practice }) => practice?.rate === 1).slice(-NEWEST);
  return planned.flatMap((cue): HandsOffer[] => {
    if (cue.handsS === 0) return [];
    // A cue that repeats counts once a run.
    const measured = paced.flatMap((review) => {
      const mine = review.cues.filter((one) => one.rigId === rigId && isOf(one.cueId, cue.id));
      return median(mine.flatMap((one) => latenessS(one) ?? [])) ?? [];
    });
    if (measured.length < HANDS_RUNS) return [];
    const measuredS = Math.max(1, Math.round(median(measured) as number));
    if (Math.abs(measuredS - cue.handsS) < HANDS_DIFFER_S) return [];
    const { id: cueId, action, handsS: plannedS } = cue;
    return [{ cueId, action, plannedS, measuredS, ofRuns: measured.length }];
  });
}

/** Whether an instance of a cue (cue-timeline.ts) is of it: "burst.3" of "burst". */
function isOf(instanceId: string, cueId: string): boolean {
  return (
    instanceId === cueId ||
    (instanceId.startsWith(`${cueId}.`) && /^\d+$/.test(instanceId.slice(cueId.length + 1)))
  );
}

function latenessS({ doneRunMs, dueRunMs }: ReviewedCue): number | null {
  return doneRunMs === null ? null : (doneRunMs - dueRunMs) / 1000;
}
