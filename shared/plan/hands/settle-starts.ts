/**
 * The same order, at the times one would choose: a search begins everything as early as it can be,
 * people begin a thing when it is wanted.
 */
import type { HandsProblem, Placed, Task } from "./task.ts";

/**
 * Every task begins at the time wanted for it where that leaves all that follow in time, else as
 * near to it as the order allows. `placed` is by start and sound; so is the result.
 */
export function settleStarts(
  { tasks, walkS }: HandsProblem,
  placed: readonly Placed[],
  wantedS: (taskId: string) => number,
): Placed[] {
  const known = new Map(tasks.map((task) => [task.id, task]));
  const of = (id: string) => known.get(id) as Task;
  /** From the begin of one to the earliest begin of one that follows it, s; undefined when neither minds the other. */
  const leastS = (one: Placed, other: Placed): number | undefined => {
    const [a, b] = [of(one.taskId), of(other.taskId)];
    const shared = one.who.some((name) => other.who.includes(name));
    if (shared || (a.tool !== undefined && a.tool === b.tool)) return a.durationS + walkS(a.rigId, b.rigId);
    return a.rigId === b.rigId && a.rank !== undefined && b.rank !== undefined ? 0 : undefined;
  };
  // As late as what follows allows, from the last back.
  const late: Placed[] = [];
  for (const one of [...placed].reverse()) {
    const { latestS, durationS } = of(one.taskId);
    let startS = latestS;
    for (const next of late)
      startS = Math.min(startS, next.startS - (leastS(one, next) ?? Number.NEGATIVE_INFINITY));
    late.unshift({ ...one, startS, endS: startS + durationS });
  }
  const settled: Placed[] = [];
  for (const one of late) {
    const { durationS } = of(one.taskId);
    let startS = Math.min(one.startS, wantedS(one.taskId));
    for (const before of settled)
      startS = Math.max(startS, before.startS + (leastS(before, one) ?? Number.NEGATIVE_INFINITY));
    settled.push({ ...one, startS, endS: startS + durationS });
  }
  return settled.sort((a, b) => a.startS - b.startS);
}
