/** What hangs on a rig's run at an instant, as far as an agent needs it. Pure. */

import type { CueAction } from "../../shared/plan/model/vocabulary.ts";
import type { ClockHealth } from "../../shared/run/doubt.ts";
import type { EffectiveContacts } from "../../shared/run/effective-contacts.ts";
import { contactsOf } from "../../shared/run/effective-contacts.ts";
import type { SiteState } from "../../shared/run/state.ts";
import { NOBODY } from "../../shared/run/views/presence.ts";
import { viewRigs } from "../../shared/run/views/run-view.ts";
import type { UtcMs } from "../../shared/time/instants.ts";

export interface WhatIsDue {
  /** Somebody waits for figures: a cue that makes frames, or totality, is near. */
  near: boolean;
  /**
   * Why no session with a camera may be opened now; null when one may. Opening one can lock a camera:
   * never from C2−60 s to C3+60 s, of the real run or of a practice, nor while frames are due; and not
   * while the run is not known at all.
   */
  cameraClosed: "the run is not known" | "totality is near" | "frames are due" | null;
}

export const NOTHING_DUE: WhatIsDue = { near: false, cameraClosed: "the run is not known" };

const TOTALITY_MS = 60_000;
/** How long before all this no session is begun any more, ms by the wall: one takes seconds, 17 at most (gphoto.ts). */
const AHEAD_MS = 20_000;
/** Of these a tool that holds a camera up would spoil what cannot be had again. */
const MAKES_FRAMES: ReadonlySet<CueAction> = new Set(["exposure", "burst", "record"]);
/** So long after such a cue somebody still waits for figures, ms. */
const BEHIND_MS = 60_000;

export function dueNow(state: SiteState, rigId: string, clock: ClockHealth, now: UtcMs): WhatIsDue {
  const view = viewRigs([rigId], state, NOBODY, clock, now);
  const [status] = view.rigs;
  const real = state.runs[state.realRunId];
  // A practice that runs at twenty times the speed is in totality sooner.
  const aheadMs = AHEAD_MS * (view.practice?.rate ?? 1);
  const inTotality =
    nearTotality(view.contacts, view.runNow, aheadMs) ||
    (real ? nearTotality(contactsOf(state, real), now, AHEAD_MS) : false);
  const frames = (status?.cues ?? []).filter(({ cue }) => MAKES_FRAMES.has(cue.action));
  const { runNow } = view;
  const framesWithin = (behindMs: number): boolean =>
    frames.some(({ fromMs, toMs }) => runNow >= fromMs - aheadMs && runNow <= toMs + behindMs);
  return {
    near: inTotality || framesWithin(BEHIND_MS),
    cameraClosed: inTotality ? "totality is near" : framesWithin(0) ? "frames are due" : null,
  };
}

/** By the contacts as they were shifted or called, and as they were predicted: a shift may be a mistake. */
function nearTotality({ c2, c3, predicted }: EffectiveContacts, at: number, aheadMs: number): boolean {
  if (c2 === null || c3 === null) return false;
  const from = Math.min(c2, predicted.c2 ?? c2) - TOTALITY_MS - aheadMs;
  return at >= from && at <= Math.max(c3, predicted.c3 ?? c3) + TOTALITY_MS;
}
