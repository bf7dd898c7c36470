/**
 * What was worked at, step by step, to go back and forth. Steps of one kind that follow each other
 * (letters of one field, a drag on the line) are one step. Pure.
 */
export interface History<T> {
  now: T;
  /** Oldest first. */
  past: readonly T[];
  /** What was undone, the nearest first. */
  ahead: readonly T[];
  /** What the last step was; the next of the same kind is part of it. */
  step: string | null;
}

/** More than anybody remembers. */
const STEPS_MOST = 200;

export function begun<T>(now: T): History<T> {
  return { now, past: [], ahead: [], step: null };
}

/** `step`: null for one that stands by itself. */
export function changed<T>(
  { now, past, step: before }: History<T>,
  next: T,
  step: string | null,
): History<T> {
  const same = step !== null && step === before;
  return { now: next, past: same ? past : [...past, now].slice(-STEPS_MOST), ahead: [], step };
}

export function undone<T>(history: History<T>): History<T> {
  const { now, past, ahead } = history;
  const last = past.at(-1);
  if (last === undefined) return history;
  return { now: last, past: past.slice(0, -1), ahead: [now, ...ahead], step: null };
}

export function redone<T>(history: History<T>): History<T> {
  const { now, past, ahead } = history;
  const [next, ...rest] = ahead;
  if (next === undefined) return history;
  return { now: next, past: [...past, now], ahead: rest, step: null };
}
