/**
 * What is known of a rig in the run that is on. In a practice run the words of the real run and of
 * the practice are taken together, newest first; when the practice ends its words are gone and the
 * real run's stand alone (SPEC R8, S8).
 */
import { ownValue } from "../../fields/own-key.ts";
import type { UtcMs } from "../../time/instants.ts";
import { NO_RECORD, type RigRecord, type RunRecord, type SiteState } from "../state.ts";
import { newestOfInstruments, practiceRegisters } from "./field-registers.ts";
import { mergeFilterWords } from "./filter-state.ts";

/** The record of a rig in the run that is on. */
export function recordOf(state: SiteState, run: RunRecord, rigId: string): RigRecord {
  const own = ownValue(run.rigs, rigId) ?? NO_RECORD;
  if (run.kind === "real") return own;
  const real = ownValue(state.runs[state.realRunId]?.rigs ?? {}, rigId) ?? NO_RECORD;
  return {
    ...practiceRegisters(real, own),
    instruments: newestOfInstruments(real.instruments, own.instruments),
    filter: mergeFilterWords(real.filter, own.filter),
    checks: { ...real.checks, ...own.checks },
    cues: own.cues,
    lastUtcMs: (Math.max(real.lastUtcMs ?? 0, own.lastUtcMs ?? 0) || null) as UtcMs | null,
  };
}

/** The highest number that a device has given to a word on a filter; -1 when it has said none. */
export function highestNumberOf(state: SiteState | null, deviceId: string): number {
  const said = Object.values(state?.runs ?? {}).flatMap((run) =>
    Object.values(run.rigs).map(({ filter }) => ownValue(filter.byDevice, deviceId)?.deviceSeq ?? -1),
  );
  return Math.max(-1, ...said);
}
