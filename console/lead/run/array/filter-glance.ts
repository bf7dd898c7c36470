/**
 * What a lead has to see at one glance: how many filters are off, which are not as they should be
 * now, and whether the array is to show nothing else. Pure; all of it from the rigs' own views.
 */

import { isFilterOff } from "../../../../shared/run/cues/cue-kinds.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import type { RunNow } from "../../shell/use-run.ts";

export const GLANCE_KINDS = ["open", "off", "stillOn", "on", "stays", "unknown", "capped", "none"] as const;
export type GlanceKind = (typeof GLANCE_KINDS)[number];
export type GlanceTone = "danger" | "caution" | "plain" | "quiet";

export interface GlanceCount {
  kind: GlanceKind;
  count: number;
  tone: GlanceTone;
}

type Seen = Pick<RigStatus, "filter" | "exposed" | "allowance" | "cues">;

/** From so long before C2 to so long after C3 the sentence is the page, ms. */
const BEFORE_C2_MS = 30_000;
const AFTER_C3_MS = 60_000;
/** A filter that may be off is a caution from then on: the latest of S3's begin, C2+10 s. */
const STILL_ON_AFTER_C2_MS = 10_000;
/** It is named as still on so long after its own cue: most hands need less. Common practice, no source. */
const STILL_ON_AFTER_CUE_MS = 10_000;
/** S11: for whoever has less than that left it is no fault any more, ms before C3. */
const STILL_ON_UNTIL_C3_MS = 20_000;

/** Whether the counts and who needs somebody are all that is shown: totality and what lies around it. */
export function isGlance(
  { c2, c3 }: Pick<EffectiveContacts, "c2" | "c3">,
  total: boolean,
  runNow: number,
): boolean {
  return total && c2 !== null && c3 !== null && runNow >= c2 - BEFORE_C2_MS && runNow <= c3 + AFTER_C3_MS;
}

/** In these seconds around C3 nothing but what is still open is said, ms. */
const ONLY_OPEN_MS = 20_000;

/** From C3−20 s to C3+20 s: only rigs that are open, may be, or on which eyes hang. */
export function isOnlyOpen({ c3 }: Pick<EffectiveContacts, "c3">, runNow: number): boolean {
  return c3 !== null && Math.abs(runNow - c3) <= ONLY_OPEN_MS;
}

export function glanceKind(
  rig: Seen,
  contacts: Pick<EffectiveContacts, "c2" | "c3">,
  runNow: number,
): GlanceKind {
  const { filter, exposed, allowance, cues } = rig;
  if (filter === "none by design") return "none";
  if (filter === "off") return exposed ? "open" : "off";
  if (filter === "unknown" || filter === "capped") return filter;
  if (allowance === null) return "stays";
  const { c2, c3 } = contacts;
  // Only where it is to come off now, plainly: not in doubt, under cloud, in a practice of touches.
  const asked = cues.find(
    ({ cue, state, mode }) => isFilterOff(cue) && (state === "now" || state === "late") && mode === "plain",
  );
  const opens =
    asked &&
    c2 !== null &&
    c3 !== null &&
    runNow >= Math.min(c2 + STILL_ON_AFTER_C2_MS, asked.dueMs + STILL_ON_AFTER_CUE_MS) &&
    runNow <= c3 - STILL_ON_UNTIL_C3_MS;
  return opens ? "stillOn" : "on";
}

/**
 * Whether a page on which no rig needs anybody may say that all is well: not while this console is
 * alone and knows only what was, nor while something concerns the whole site.
 */
export function isCalm({ presenceKnown, alerts }: Pick<RunNow, "presenceKnown" | "alerts">): boolean {
  return presenceKnown && alerts.every(({ priority }) => priority === "advice");
}

const TONES: Readonly<Record<GlanceKind, GlanceTone>> = {
  open: "danger",
  off: "plain",
  stillOn: "caution",
  on: "plain",
  stays: "quiet",
  unknown: "caution",
  capped: "quiet",
  none: "quiet",
};

/** Until C2+10 s whose filter is still on is named, and nothing is wrong yet. */
export function toneOf(kind: GlanceKind, { c2 }: Pick<EffectiveContacts, "c2">, runNow: number): GlanceTone {
  const early = kind === "stillOn" && c2 !== null && runNow < c2 + STILL_ON_AFTER_C2_MS;
  return early ? "plain" : TONES[kind];
}

/** Counts by kind, what is wrong first; kinds that nobody is of are left out. */
export function glanceCounts(
  rigs: readonly Seen[],
  contacts: Pick<EffectiveContacts, "c2" | "c3">,
  runNow: number,
): GlanceCount[] {
  const kinds = rigs.map((rig) => glanceKind(rig, contacts, runNow));
  return GLANCE_KINDS.flatMap((kind) => {
    const count = kinds.filter((one) => one === kind).length;
    return count === 0 ? [] : [{ kind, count, tone: toneOf(kind, contacts, runNow) }];
  });
}
