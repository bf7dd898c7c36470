/**
 * Long computations that anybody may ask for, done one at a time and in steps between which the
 * hub passes on calls and reports. What was computed is kept for the next who asks the same.
 *
 * Who asks one thing after another is never turned away; only who leaves very many waiting is.
 */
import { setImmediate as otherWork } from "node:timers/promises";
import type { Steps } from "../shared/eclipse/steps.ts";

/** Computations that may wait at once, for one address and for all. */
export const MOST_WAITING = { ofOne: 100, ofAll: 300 };
/** Results kept; the largest has some 12 kB. */
const KEPT = 200;

export class ComputeQueue {
  private readonly kept = new Map<string, unknown>();
  private readonly underWay = new Map<string, Promise<unknown>>();
  private readonly waiting = new Map<string, number>();
  private waitingOfAll = 0;
  private last: Promise<unknown> = Promise.resolve();

  /**
   * The result of the steps; undefined when too many wait already. `key` says what is computed:
   * the same key must mean the same result. Without `keep` only who asks while it is computed shares it.
   */
  async work<Result>(
    address: string,
    key: string,
    steps: () => Steps<Result>,
    { keep = true }: { keep?: boolean } = {},
  ): Promise<{ result: Result } | undefined> {
    if (this.kept.has(key)) {
      const result = this.kept.get(key) as Result;
      this.keep(key, result);
      return { result };
    }
    const same = this.underWay.get(key) as Promise<Result> | undefined;
    if (same) return { result: await same };
    const ofOne = this.waiting.get(address) ?? 0;
    if (ofOne >= MOST_WAITING.ofOne || this.waitingOfAll >= MOST_WAITING.ofAll) return undefined;
    this.waiting.set(address, ofOne + 1);
    this.waitingOfAll++;
    const work = this.last.then(() => inSteps(steps()));
    this.last = work.catch(() => undefined);
    this.underWay.set(key, work);
    try {
      const result = await work;
      if (keep) this.keep(key, result);
      return { result };
    } finally {
      this.underWay.delete(key);
      this.waitingOfAll--;
      const left = (this.waiting.get(address) ?? 1) - 1;
      if (left > 0) this.waiting.set(address, left);
      else this.waiting.delete(address);
    }
  }

  /** Newest last; the one that was not asked for longest goes. */
  private keep(key: string, result: unknown): void {
    this.kept.delete(key);
    this.kept.set(key, result);
    if (this.kept.size > KEPT) this.kept.delete(this.kept.keys().next().value as string);
  }
}

async function inSteps<Result>(steps: Steps<Result>): Promise<Result> {
  let step = steps.next();
  while (!step.done) {
    await otherWork();
    step = steps.next();
  }
  return step.value;
}
