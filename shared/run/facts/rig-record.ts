/**
 * What is known of a rig in the run that is on. In a practice run the words of the real run and of
 * the practice are taken together, newest first; when the practice ends its words are gone and the
 * real run's stand alone (SPEC R8, S8). A filter is one thing, whatever eclipse the plan is for: what was
 * said of it in the real run of another eclipse holds on (S9).
 */
import { ownValue } from "../../fields/own-key.ts";
import type { UtcMs } from "../../time/instants.ts";
import { NO_RECORD, type RigRecord, type RunRecord, type SiteState } from "../state.ts";
import { newestOfInstruments, practiceRegisters } from "./field-registers.ts";
import { type FilterWords, mergeFilterWords, NO_FILTER_WORDS } from "./filter-state.ts";

/** The record of a rig in the run that is on. */
export function recordOf(state: SiteState, run: RunRecord, rigId: string): RigRecord {
  const own = ownValue(run.rigs, rigId) ?? NO_RECORD;
  const real = Object.values(state.runs).filter(({ kind }) => kind === "real");
  const filter = filterWordsIn(run.kind === "real" ? real : [...real, run], rigId);
  if (run.kind === "real") return { ...own, filter };
  const ofReal = ownValue(state.runs[state.realRunId]?.rigs ?? {}, rigId) ?? NO_RECORD;
  return {
    ...practiceRegisters(ofReal, own),
    instruments: newestOfInstruments(ofReal.instruments, own.instruments),
    filter,
    checks: { ...ofReal.checks, ...own.checks },
    cues: own.cues,
    lastUtcMs: (Math.max(ofReal.lastUtcMs ?? 0, own.lastUtcMs ?? 0) || null) as UtcMs | null,
  };
}

/** What was said of a rig's filter in several runs. */
export function filterWordsIn(runs: readonly RunRecord[], rigId: string): FilterWords {
  return runs
    .flatMap(({ rigs }) => ownValue(rigs, rigId)?.filter ?? [])
    .reduce(mergeFilterWords, NO_FILTER_WORDS);
}

/** The highest number that a device has given to a word on a filter; -1 when it has said none. */
export function highestNumberOf(state: SiteState | null, deviceId: string): number {
  const said = Object.values(state?.runs ?? {}).flatMap((run) =>
    Object.values(run.rigs).map(({ filter }) => ownValue(filter.byDevice, deviceId)?.deviceSeq ?? -1),
  );
  return Math.max(-1, ...said);
}
