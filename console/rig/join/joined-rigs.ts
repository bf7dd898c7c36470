/**
 * The rigs that this phone holds, kept in IndexedDB. Once they are safe there the token leaves
 * the address bar, where it could be read over a shoulder or sent on in a screenshot; when they
 * cannot be kept it stays, so that a reload still works.
 */
import type { RigLink } from "../../../shared/link/session-types.ts";
import { type BrowserStore, inTime } from "../../link/browser-store.ts";
import {
  type FragmentReading,
  keptRigs,
  mergeRigs,
  readFragment,
  settledRigs,
  stillLeft,
} from "./read-fragment.ts";

export interface Joining {
  store: BrowserStore;
  rigs: RigLink[];
  /** Rigs taken off this phone of which reports still wait for the hub. */
  left: RigLink[];
  bad: FragmentReading["bad"];
  /** Whether the phone remembers: false in private windows of some browsers. */
  kept: boolean;
}

const KEY = "rigs";
const LEFT_KEY = "left-rigs";

/** @param held, gone what this page already holds and what it has left, for a phone that keeps nothing */
export async function joinRigs(
  fragment: string,
  store: BrowserStore,
  held: readonly RigLink[],
  gone: readonly RigLink[],
): Promise<Joining> {
  const { rigs: scanned, bad } = readFragment(fragment);
  try {
    // A phone that scanned nothing has nothing to write, and may have no room for it.
    const rigs = await inTime(
      scanned.length > 0
        ? store.change(KEY, (kept) => mergeRigs(keptRigs(kept), scanned))
        : store.get(KEY).then(keptRigs),
    );
    const left = await inTime(leftRigs(store, rigs));
    if (scanned.length > 0 && bad.length === 0 && location.hash === fragment)
      history.replaceState(null, "", location.pathname);
    return { store, rigs, left, bad, kept: true };
  } catch {
    return { store, rigs: mergeRigs(held, scanned), left: [...gone], bad, kept: false };
  }
}

/** Takes a rig off this phone; what it reported and has not sent yet is still sent. */
export async function leaveRig(store: BrowserStore, rigId: string): Promise<void> {
  const gone = keptRigs(await store.get(KEY)).filter((rig) => rig.id === rigId);
  // Its link first: without it the hub would not take what still waits here.
  await store.change(LEFT_KEY, (left) => mergeRigs(keptRigs(left), gone));
  await store.change(KEY, (rigs) => keptRigs(rigs).filter((rig) => rig.id !== rigId));
}

/** Keeps which link of a rig a hub has taken, when two had been scanned. */
export async function keepSettled(
  store: BrowserStore,
  before: readonly RigLink[],
  after: readonly RigLink[],
): Promise<void> {
  await store.change(KEY, (kept) => settledRigs(keptRigs(kept), before, after));
}

/** Links that were left and are still needed; the others are forgotten. */
async function leftRigs(store: BrowserStore, joined: readonly RigLink[]): Promise<RigLink[]> {
  const kept = keptRigs(await store.get(LEFT_KEY));
  if (kept.length === 0) return [];
  const left = stillLeft(
    kept,
    joined,
    (await store.waiting()).map(({ fact }) => fact.rigId),
  );
  await store.set(LEFT_KEY, left);
  return left;
}
