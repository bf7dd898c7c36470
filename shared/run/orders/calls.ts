/**
 * Which calls by eye stand (S6). Whatever makes things safe (cover, "stay filtered", "Sun
 * returns") ends a call of totality for good: `ended` is set when it comes (evolve.ts) and stays
 * when that is taken back. So taking back never unfilters; only a fresh held call does. Pure.
 */
import type { Call, RunRecord } from "../state.ts";
import type { CallName } from "../vocabulary.ts";

/** Whether a call makes things safe; the other kind unfilters. */
export function makesSafe(name: CallName): boolean {
  return name !== "totality";
}

function stands({ takenBack, ended }: Call): boolean {
  return !takenBack && !ended;
}

/** The newest call that stands, of any name. */
export function newestStanding(calls: RunRecord["calls"]): Call | null {
  return calls.findLast(stands) ?? null;
}

/** The call of totality that stands: the first, since one made again says nothing new of C2. */
export function standingTotality(calls: RunRecord["calls"]): Call | null {
  return calls.find((call) => call.call === "totality" && stands(call)) ?? null;
}

/** The newest safe-making call that stands and after which nobody has called totality anew. */
export function standingSafeCall(calls: RunRecord["calls"]): Call | null {
  const last = newestStanding(calls);
  if (!last || !makesSafe(last.call)) return null;
  return last;
}

/** The calls of a name that stand and that no call of totality has superseded, oldest first. */
export function standingCalls(calls: RunRecord["calls"], name: CallName): readonly Call[] {
  const from = calls.findLastIndex((call) => call.call === "totality" && stands(call));
  return calls.slice(from + 1).filter(({ call, takenBack }) => call === name && !takenBack);
}

/** The newest of them. */
export function standingCall(calls: RunRecord["calls"], name: CallName): Call | null {
  return standingCalls(calls, name).at(-1) ?? null;
}
