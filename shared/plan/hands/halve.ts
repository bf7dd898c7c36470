/** The edge between what works and what does not, in whole seconds, found by halving. */
import type { Steps } from "../../eclipse/steps.ts";

/**
 * The whole number nearest to `bad` that works. `good` works and `bad` does not, and between them
 * there is one edge; either may be the greater. A rest before each trial.
 */
export function* halve(good: number, bad: number, works: (s: number) => Steps<boolean>): Steps<number> {
  let [last, first] = [good, bad];
  while (Math.abs(first - last) > 1) {
    const middle = (last + first) >> 1;
    yield;
    if (yield* works(middle)) last = middle;
    else first = middle;
  }
  return last;
}
