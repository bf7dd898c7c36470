/**
 * What a run hung on, stage by stage: each change of plan, place, contacts or sky begins one. A cue is
 * judged as it stood when it was done, or else when its window ended: what is changed later takes
 * nothing back of what was done or missed (a shift moves only what is ahead). Run time, ms.
 */

import type { Rig } from "../plan/model/plan.ts";
import { CUE_OFFSET_MOST_S } from "../plan/model/vocabulary.ts";
import { byTime, type CueInstance } from "../run/cues/cue-timeline.ts";
import { cuesInRun } from "../run/cues/cues-in-run.ts";
import { contactsOf, type EffectiveContacts } from "../run/effective-contacts.ts";
import type { RunRecord, SiteState } from "../run/state.ts";
import { variantOf } from "../run/variant-of.ts";
import type { UtcMs } from "../time/instants.ts";
import type { Mark } from "./scores.ts";

export interface Stage {
  fromUtcMs: UtcMs;
  state: SiteState;
  run: RunRecord;
}

/** How long after its last contact a real run goes on: who packs up changes nothing of it. Common practice, no source. */
const AFTER_LAST_MS = 3_600_000;
/** No window of a cue ends so long before the first contact: its offset, and a moment of the place before C1, ms. */
const BEFORE_FIRST_MS = CUE_OFFSET_MOST_S * 1000 + 90 * 60_000;

/** A stage as cues need it. */
export interface Timed extends Stage {
  fromRunMs: number;
  contacts: EffectiveContacts;
}

/** Until when a real run goes on by this plan, ms; for ever where the place has no eclipse. */
export function realEndMs({ c4, max }: EffectiveContacts): number {
  const last = c4 ?? max;
  return last === null ? Number.POSITIVE_INFINITY : last + AFTER_LAST_MS;
}

/** Those that were in force while the run went on: what begins after its own end is of the days after. */
export function stagesInForce(stages: readonly Stage[], at: (utcMs: number) => number): Timed[] {
  const kept: Timed[] = [];
  for (const stage of stages) {
    const last = kept.at(-1);
    const fromRunMs = at(stage.fromUtcMs);
    if (last && stage.run.kind === "real") {
      const endMs = realEndMs(last.contacts);
      // One that was only planned when all was over has no such end.
      if (last.fromRunMs < endMs && fromRunMs >= endMs) break;
    }
    const same =
      last?.state.circumstances === stage.state.circumstances &&
      last?.run.shifts === stage.run.shifts &&
      last?.run.calls === stage.run.calls;
    const contacts = last && same ? last.contacts : contactsOf(stage.state, stage.run);
    kept.push({ ...stage, fromRunMs, contacts });
  }
  return kept;
}

export interface AskedCue extends CueInstance {
  operator: string;
}

/** Every rig that the run had, in the order of the plan, those that were taken out last; as last planned. */
export function rigsOfStages(stages: readonly Timed[]): Rig[] {
  const rigs = new Map<string, Rig>();
  for (const { state } of [...stages].reverse())
    for (const rig of state.plan.rigs) if (!rigs.has(rig.id)) rigs.set(rig.id, rig);
  return [...rigs.values()];
}

/** What was asked of one rig, each cue as it stood when it was done or its window ended, by time. */
export function cuesAsked(
  rigId: string,
  stages: readonly Timed[],
  marks: ReadonlyMap<string, Mark> | undefined,
): AskedCue[] {
  const asked = new Map<string, AskedCue>();
  /** Seen while it was still ahead. */
  const ahead = new Set<string>();
  /** Settled: its window ended and nobody had done it. */
  const over = new Set<string>();
  let firstMarkMs = Number.POSITIVE_INFINITY;
  for (const { atRunMs } of marks?.values() ?? []) firstMarkMs = Math.min(firstMarkMs, atRunMs);
  for (const { rig, contacts, run, fromRunMs, untilRunMs } of versionsOf(rigId, stages)) {
    if (untilRunMs < firstMarkMs && untilRunMs < earliestMs(contacts) - BEFORE_FIRST_MS) continue;
    for (const item of cuesInRun(rig, run, contacts)) {
      const { id, toMs } = item;
      const mark = marks?.get(id);
      if (mark) {
        if (!asked.has(id) || fromRunMs <= mark.atRunMs) asked.set(id, { ...item, operator: rig.operator });
        continue;
      }
      if (over.has(id)) continue;
      // Over before this rig, this sky or the segment began: nobody could have done it.
      if (toMs < fromRunMs && !ahead.has(id)) continue;
      ahead.add(id);
      if (toMs >= untilRunMs) continue;
      over.add(id);
      asked.set(id, { ...item, operator: rig.operator });
    }
  }
  return [...asked.values()].sort(byTime);
}

interface Version {
  rig: Rig;
  run: RunRecord;
  contacts: EffectiveContacts;
  fromRunMs: number;
  /** When the next one, or none, took its place; never for the last. */
  untilRunMs: number;
}

/** Stages in which nothing of this rig's cues changed are one. */
function versionsOf(rigId: string, stages: readonly Timed[]): Version[] {
  const versions: Version[] = [];
  let open = null as Version | null;
  for (const { state, run, contacts, fromRunMs } of stages) {
    const rig = state.plan.rigs.find(({ id }) => id === rigId);
    const same =
      open?.rig === rig &&
      open?.contacts === contacts &&
      variantOf(open.run, rigId) === variantOf(run, rigId);
    if (open && same) continue;
    if (open) open.untilRunMs = fromRunMs;
    open = rig ? { rig, run, contacts, fromRunMs, untilRunMs: Number.POSITIVE_INFINITY } : null;
    if (open) versions.push(open);
  }
  return versions;
}

function earliestMs({ c1, c2, max, predicted }: EffectiveContacts): number {
  return Math.min(...[c1, c2, max, predicted.c1].map((ms) => ms ?? Number.POSITIVE_INFINITY));
}
