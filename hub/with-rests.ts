/** Does long work in pieces between which the hub passes on calls and reports. */
import { setImmediate as otherWork } from "node:timers/promises";
import type { Steps } from "../shared/eclipse/steps.ts";

/** How long a piece may hold others up, ms; the last step of a piece comes on top. */
const PIECE_MS = 2;

/** The result of the steps; without a rest where one piece will do. */
export async function withRests<Result>(steps: Steps<Result>): Promise<Result> {
  for (;;) {
    const done = pieceOf(steps);
    if (done) return done.result;
    await otherWork();
  }
}

/** Goes on for a while; undefined while there is more to do. */
export function pieceOf<Result>(steps: Steps<Result>): { result: Result } | undefined {
  const since = performance.now();
  for (;;) {
    const step = steps.next();
    if (step.done) return { result: step.value };
    if (performance.now() - since > PIECE_MS) return undefined;
  }
}
