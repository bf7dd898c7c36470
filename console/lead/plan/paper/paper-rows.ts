/**
 * The cues of a sheet as they are read on paper: the prediction, without shifts or calls, a series
 * once. A person's sheet has all rigs in their hands in the order of their hands: what wants hands
 * at the time that the schedule gives it, the rest when it is due; and what they help others with.
 */
import type { AssessedHands } from "../../../../shared/plan/assess/assess-plan.ts";
import { anchoredMs } from "../../../../shared/plan/cue-times.ts";
import { localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import { type CueInstance, cueTimeline } from "../../../../shared/run/cues/cue-timeline.ts";
import { type OwnWords, ownWordsOf } from "../../../../shared/run/cues/manner.ts";
import { timesByTheClock } from "../../../../shared/run/cues/rig-times.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { latest, type RunMs } from "../../../../shared/time/instants.ts";

export interface PaperRow {
  rig: Rig;
  one: CueInstance;
  /** When it is begun, run time ms: not always when it is due. */
  atMs: number;
  ownWords: OwnWords;
  /** Who does it with them, by name. */
  with: readonly string[];
  /** Of somebody else's rig. */
  helping: boolean;
  /** The best order of hands leaves it out. */
  undone: boolean;
}

/** Of one rig, when each is due. */
export function rigRows(rig: Rig, state: SiteState, contacts: EffectiveContacts): PaperRow[] {
  const asPlanned = {
    allowance: filterAllowance(rig, localEclipse(state.circumstances)),
    times: timesByTheClock(contacts),
    // Before everything.
    runNow: latest<RunMs>(),
  };
  return cueTimeline(rig, contacts)
    .filter(({ n }) => n === 1)
    .map((one) => ({
      rig,
      one,
      atMs: one.dueMs,
      ownWords: ownWordsOf(one, rig, asPlanned),
      with: [],
      helping: false,
      undone: false,
    }));
}

/** Of one person. Without a schedule (it is still being worked out) everything stands when it is due. */
export function personRows(
  rigs: readonly Rig[],
  hands: Pick<AssessedHands, "order" | "dropped"> | null,
  state: SiteState,
  contacts: EffectiveContacts,
): PaperRow[] {
  const placed = (hands?.order ?? []).map((one) => ({
    ...one,
    atMs: anchoredMs(contacts.predicted, one.anchor, one.startS),
  }));
  const own = rigs.flatMap((rig) => rigRows(rig, state, contacts));
  const helped = state.plan.rigs
    .filter((rig) => !rigs.includes(rig) && placed.some(({ rigId }) => rigId === rig.id))
    .flatMap((rig) => rigRows(rig, state, contacts))
    .filter((row) => placed.some((one) => isOf(one, row)))
    .map((row) => ({ ...row, helping: true }));
  return [...own, ...helped]
    .map((row) => {
      // Of a series the first stands for all.
      const one = placed.find((other) => isOf(other, row));
      if (one) return { ...row, atMs: one.atMs ?? row.atMs, with: one.with ?? [] };
      return { ...row, undone: hands?.dropped.some((other) => isOf(other, row)) ?? false };
    })
    .sort((a, b) => a.atMs - b.atMs);
}

function isOf({ rigId, cueId }: { rigId: string; cueId: string }, { rig, one }: PaperRow): boolean {
  return rigId === rig.id && cueId === one.cue.id;
}
