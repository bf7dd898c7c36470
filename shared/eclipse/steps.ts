/**
 * A long computation in steps of a few milliseconds: whoever runs it may do other work between
 * them, or not (`atOnce`).
 */
export type Steps<Result> = Generator<void, Result, void>;

export function atOnce<Result>(steps: Steps<Result>): Result {
  let step = steps.next();
  while (!step.done) step = steps.next();
  return step.value;
}
