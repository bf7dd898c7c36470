/** A run beside the practice runs before it: better or not, as a few rows and a sentence on each rig. */
import { useEffect, useState } from "react";
import { allOnAfterC3S, type ComparedRig, type Comparison } from "../../../../shared/review/compare.ts";
import type { Review } from "../../../../shared/review/review.ts";
import { countsOf } from "../../../../shared/review/scores.ts";
import { t } from "../../../words/words.ts";
import { useLead } from "../../shell/lead-context.ts";
import { runRows } from "../progress/run-rows.ts";
import { type RunRow, RunsTable } from "../progress/runs-table.tsx";
import { listText } from "./debrief-sentences.ts";

/** So many of the newest before this one. */
const SHOWN = 4;
const TRENDS = ["better", "same", "worse"] as const;

export function EarlierRuns({ review, when }: { review: Review; when: string | null }) {
  const { api, view } = useLead();
  const [compared, setCompared] = useState<Comparison | null>(null);
  useEffect(() => {
    const gone = new AbortController();
    void api.get<Comparison>("/api/review/practices", gone.signal).then((answer) => {
      if (!gone.signal.aborted && answer.ok) setCompared(answer.value);
    });
    return () => gone.abort();
  }, [api]);
  if (!compared) return null;
  const rows = rowsUpTo(compared, view.state?.plan.site?.zone ?? "", review, when);
  return (
    <section data-earlier={rows.length - 1}>
      <h2>{t("debrief.earlier")}</h2>
      {rows.length < 2 ? (
        <p>{t("debrief.first")}</p>
      ) : (
        <>
          {TRENDS.map((trend) => {
            const who = compared.rigs.filter((rig) => rig.trend === trend && isNewest(rig, review.runId));
            if (who.length === 0) return null;
            const names = who.map(({ name, operator }) => [name, operator].filter(Boolean).join(" · "));
            return (
              <p key={trend} data-trend={trend}>
                {t(`debrief.${trend}`, { who: listText(names) })}
              </p>
            );
          })}
          <RunsTable rows={rows} thisRun={review.runId} />
        </>
      )}
    </section>
  );
}

/** A trend is of a rig's newest run that a person did; of any other it would say nothing. */
function isNewest({ runs }: ComparedRig, runId: string): boolean {
  return runs.findLast(({ played }) => !played)?.runId === runId;
}

/** The newest few before this run, and this one last. Where the hub has not judged it, it is put behind them. */
export function rowsUpTo(compared: Comparison, zone: string, review: Review, when: string | null): RunRow[] {
  const { runId, practice } = review;
  const all = runRows(compared, zone);
  const at = all.findIndex((row) => row.runId === runId);
  if (at >= 0) return all.slice(Math.max(0, at - SHOWN), at + 1);
  const began = practice?.startedUtcMs ?? Number.POSITIVE_INFINITY;
  const before = compared.runs.filter(({ startedUtcMs }) => startedUtcMs < began).length;
  const name = [t("debrief.thisRun"), when].filter(Boolean).join(" · ");
  const own = { runId, name, began: null, rate: practice?.rate ?? 1, counts: countsOf(review.cues) };
  return [...all.slice(0, before).slice(-SHOWN), { ...own, allOnAfterC3S: allOnAfterC3S(review) }];
}
