/**
 * When a phone shows nothing but its cue: messages, questions and other screens wait. The lead's
 * console asks the same of each rig, so that it never says "told" of what a phone keeps back.
 */
import { isFilterAction } from "../../plan/model/vocabulary.ts";
import { isOpen, type PutCue } from "../cues/instruction.ts";
import type { RigStatus } from "./rig-status.ts";
import type { RunCommon } from "./run-view.ts";

/** Within this time of a cue nothing else is shown, ms. */
const QUIET_BEFORE_MS = 60_000;
const QUIET_AFTER_MS = 15_000;

/** A cue of these rigs is within a minute, one stands open in sunlight, or it is totality. */
export function isQuiet(view: RunCommon, statuses: readonly RigStatus[]): boolean {
  const { runNow, contacts } = view;
  const underWay = isUnderWay(contacts, runNow);
  return (
    inTotality(view) ||
    (statuses.some(({ exposed }) => exposed) && underWay) ||
    statuses.some(({ cues }) => cues.some((cue) => isOpen(cue) && isNear(cue, runNow, underWay)))
  );
}

export function inTotality({ gets, contacts: { c2, c3 }, runNow }: RunCommon): boolean {
  return gets.kind === "total" && c2 !== null && c3 !== null && runNow >= c2 && runNow < c3;
}

/** From ten minutes before first contact to last: before and after, a page has its other screens. */
function isUnderWay({ c1, c4 }: RunCommon["contacts"], runNow: number): boolean {
  return c1 !== null && c4 !== null && runNow > c1 - 600_000 && runNow < c4;
}

function isNear({ cue, state, dueMs }: PutCue, runNow: number, underWay: boolean): boolean {
  if (isFilterAction(cue.action) && (state === "now" || state === "late")) return underWay;
  const left = dueMs - runNow;
  return left <= QUIET_BEFORE_MS && left > -QUIET_AFTER_MS;
}
