/**
 * What is known of a rig's filter now, from the words that were said of it (filter-state.ts) and
 * their age (SPEC R7, R8).
 */
import { ownValue } from "../../fields/own-key.ts";
import type { Rig } from "../../plan/model/plan.ts";
import type { UtcMs } from "../../time/instants.ts";
import type { RigRecord, RunRecord, SiteState } from "../state.ts";
import type { FilterWord } from "../vocabulary.ts";
import { type FilterState, type FilterVerdict, type FilterWords, filterVerdict } from "./filter-state.ts";
import { isPlayed } from "./played.ts";
import type { Register } from "./registers.ts";
import { filterWordsIn } from "./rig-record.ts";

/** A rig silent this long has an unknown filter. Common practice, no source. */
export const SILENT_MS = 15 * 60_000;
/** A filter that nobody has spoken of for so long is asked for anew (S10). Common practice, no source. */
const WORD_HOLDS_MS = 6 * 3_600_000;

/** Whether nothing is heard of a rig: no phone is linked to it, and none has spoken for SILENT_MS. */
export function isSilent({ lastUtcMs }: RigRecord, linked: boolean, now: UtcMs): boolean {
  return !linked && (lastUtcMs === null || now - lastUtcMs > SILENT_MS);
}

/** What a rig's filter is taken to be: silence makes it unknown, but never makes an open one look better. */
export function filterOf(rig: Pick<Rig, "filter">, { state }: FilterVerdict, silent: boolean): FilterState {
  if (rig.filter === "none by design") return "none by design";
  return silent && state !== "off" ? "unknown" : state;
}

/**
 * The verdict on the words of the run, less what is too old to be trusted, plus what (other) practices
 * said since. A word holds for WORD_HOLDS_MS, "off" until somebody says otherwise. What was said
 * in a practice changes nothing of the real filter (S8), but when it was said after the last word
 * here and differs from it, somebody has to look (S9): in the real run, and in the next practice.
 */
export function standingVerdict(
  state: SiteState,
  run: RunRecord,
  rigId: string,
  record: RigRecord,
  now: UtcMs,
): FilterVerdict {
  const verdict = filterVerdict(record.filter);
  const { word } = verdict;
  if (!word || verdict.state === "unknown") return verdict;
  if (verdict.state !== "off" && now - word.observedUtcMs > WORD_HOLDS_MS)
    return { ...verdict, state: "unknown" };
  const practices = Object.values(state.runs).filter(
    ({ kind, runId }) => kind === "practice" && runId !== run.runId,
  );
  const practised = filterVerdict(filterWordsIn(practices, rigId), isPlayed).word;
  if (!practised || practised.value === "unknown" || practised.value === verdict.state) return verdict;
  if (isSettled(practised, record.filter, word)) return verdict;
  return { ...verdict, disputedBy: [...verdict.disputedBy, practised] };
}

/** An "off" is settled by a look or by whoever said it, as within a run (S9); any other by a newer word. */
function isSettled(
  practised: Register<FilterWord>,
  { looked, byDevice }: FilterWords,
  word: Register<FilterWord>,
): boolean {
  const after = practised.value === "off" ? ownValue(byDevice, practised.deviceId) : word;
  return [looked, after].some((one) => one && one.observedUtcMs > practised.observedUtcMs);
}
