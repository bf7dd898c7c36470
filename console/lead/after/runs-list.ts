/** The runs that are kept, as people look for them: the real ones first, then practices, newest first. */
import { type RunRecord, UNPLANNED_RUN } from "../../../shared/run/state.ts";
import { dateAndTimeText, dateText } from "../shell/date-text.ts";

export function listedRuns(runs: readonly RunRecord[]): RunRecord[] {
  return runs
    .filter((run) => run.runId !== UNPLANNED_RUN)
    .sort((a, b) => rank(a) - rank(b) || (b.startedUtcMs ?? 0) - (a.startedUtcMs ?? 0));
}

/** The day of the eclipse for a real run, the site's date and time of its start for a practice. */
export function whenText(run: Pick<RunRecord, "runId" | "startedUtcMs">, zone: string): string | null {
  if (run.startedUtcMs !== null) return dateAndTimeText(run.startedUtcMs, zone);
  const day = /^real-(\d{4}-\d\d-\d\d)$/.exec(run.runId)?.[1];
  return day === undefined ? null : dateText(day);
}

function rank(run: RunRecord): number {
  return run.kind === "real" ? 0 : 1;
}
