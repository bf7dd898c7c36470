/**
 * Long computations that anybody may ask for, done in their order and in pieces between which the
 * hub passes on calls and reports. One that takes long gives way again and again to those that wait
 * behind it: circumstances take some tens of ms, the check of a large plan a second or more. What was
 * computed is kept for the next who asks the same.
 *
 * Who asks one thing after another is never turned away; only who leaves very many waiting is.
 */
import { setImmediate as otherWork } from "node:timers/promises";
import type { Steps } from "../shared/eclipse/steps.ts";
import { pieceOf } from "./with-rests.ts";

/** Computations that may wait at once, for one address and for all. */
export const MOST_WAITING = { ofOne: 100, ofAll: 300 };
/** Results kept; the largest has some 12 kB. */
const KEPT = 200;
/** After so many pieces in a row, of some ms each, the next in the line has its turn. */
const PIECES_IN_A_ROW = 20;

/** One that is under way: does a piece, and is true when that was the last. */
type Work = () => boolean;

export class ComputeQueue {
  private readonly kept = new Map<string, unknown>();
  private readonly underWay = new Map<string, Promise<unknown>>();
  private readonly waiting = new Map<string, number>();
  private waitingOfAll = 0;
  private readonly line: Work[] = [];

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
    const work = this.lineUp(steps);
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

  private lineUp<Result>(steps: () => Steps<Result>): Promise<Result> {
    return new Promise((resolve, reject) => {
      let begun: Steps<Result> | undefined;
      this.line.push(() => {
        try {
          begun ??= steps();
          const done = pieceOf(begun);
          if (done) resolve(done.result);
          return done !== undefined;
        } catch (error) {
          reject(error);
          return true;
        }
      });
      if (this.line.length === 1) void this.workOff();
    });
  }

  /** The first in the line is under way until it has been done, or had its turn. */
  private async workOff(): Promise<void> {
    for (;;) {
      const [first] = this.line;
      if (!first) return;
      let done = false;
      for (let piece = 0; !done && piece < PIECES_IN_A_ROW; piece++) {
        await otherWork();
        done = first();
      }
      this.line.shift();
      if (!done) this.line.push(first);
    }
  }

  /** Newest last; the one that was not asked for longest goes. */
  private keep(key: string, result: unknown): void {
    this.kept.delete(key);
    this.kept.set(key, result);
    if (this.kept.size > KEPT) this.kept.delete(this.kept.keys().next().value as string);
  }
}
