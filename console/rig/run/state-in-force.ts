/**
 * What is true while no cue is due: the largest words on the page then, so that nothing coming is
 * taken for an order. The worst of several rigs speaks. Pure.
 */
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import type { RunCommon } from "../../../shared/run/views/run-view.ts";
import { ownFilter } from "./own-filter.ts";

export type InForce =
  /** The Sun is bare somewhere: the filter stays on. */
  | "filter-stays"
  /** It stays capped. */
  | "capped"
  /** Off, and that is right now. */
  | "filter-off"
  /** Nobody has said what the filter is. */
  | "filter-unknown"
  /** Totality, and nothing to do. */
  | "enjoy"
  /** Nothing to do. */
  | "wait"
  | "over"
  | "no-cues"
  | "no-eclipse";

export function stateInForce(view: RunCommon, statuses: readonly RigStatus[]): InForce {
  const { contacts, runNow, gets } = view;
  if (gets.kind === "none") return "no-eclipse";
  const states = statuses.map(ownFilter);
  if (states.includes("unknown")) return "filter-unknown";
  const over = contacts.c4 !== null && runNow > contacts.c4;
  if (over && !statuses.some(({ cues }) => cues.some(({ state }) => state === "next"))) return "over";
  if (states.includes("on")) return "filter-stays";
  if (states.includes("capped")) return "capped";
  const seen = statuses.some(({ times }) => isTotality(times, runNow));
  if (seen) return "enjoy";
  if (states.includes("off")) return "filter-off";
  return statuses.every(({ cues }) => cues.length === 0) ? "no-cues" : "wait";
}

function isTotality({ c2, safeC3 }: RigStatus["times"], runNow: number): boolean {
  return c2 !== null && safeC3 !== null && runNow >= c2 && runNow < safeC3;
}
