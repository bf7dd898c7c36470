/** Runs one under the other: when, at what pace, how the cues went, and how long after C3 all filters were on. */
import type { Counts } from "../../../../shared/review/scores.ts";
import { afterC3Text } from "../../../parts/words-for-reviewed.ts";
import "../../../words/bundles/progress.ts";
import { t } from "../../../words/words.ts";
import "./progress.css";

export interface RunRow {
  runId: string;
  /** "3 · 21 July 20:01". */
  name: string;
  /** "C2 −60 s", where it began; null for the real run. */
  began: string | null;
  rate: number;
  counts: Counts;
  allOnAfterC3S: number | null;
}

/** `thisRun`: the one whose page this is, which is no link to itself. */
export function RunsTable({ rows, thisRun }: { rows: readonly RunRow[]; thisRun?: string }) {
  return (
    <table className="progress__runs">
      <thead>
        <tr>
          <th scope="col">{t("progress.run")}</th>
          <th scope="col">{t("progress.pace")}</th>
          <th scope="col">{t("progress.how")}</th>
          <th scope="col">{t("progress.allOn")}</th>
        </tr>
      </thead>
      <tbody>
        {rows.map(({ runId, name, began, rate, counts, allOnAfterC3S }) => (
          <tr key={runId} data-run={runId} data-this={runId === thisRun || undefined}>
            <td>
              {runId === thisRun ? <bdi>{name}</bdi> : <a href={`#record/${runId}`}>{<bdi>{name}</bdi>}</a>}{" "}
              <span className="soft" dir="ltr">
                {began}
              </span>
            </td>
            <td data-label={t("progress.pace")}>{rate} ×</td>
            <td data-label={t("progress.how")}>{countsText(counts)}</td>
            <td data-label={t("progress.allOn")}>
              {allOnAfterC3S === null ? "–" : afterC3Text(allOnAfterC3S)}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function countsText(counts: Counts): string {
  return t("progress.counts", {
    onTime: counts["on time"],
    early: counts.early,
    late: counts.late,
    missed: counts.missed,
  });
}
