/** One rig's cues, each with when it was due and done, and how it went or why not. */
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { ReviewedCue } from "../../../../shared/review/review.ts";
import { clockText } from "../../../parts/time-format.ts";
import { offText, reviewedWords } from "../../../parts/words-for-reviewed.ts";
import { t } from "../../../words/words.ts";
import { countsText } from "../progress/runs-table.tsx";
import { personName, type RigRow } from "./rig-rows.ts";

interface RigCuesProps {
  row: RigRow;
  cues: readonly ReviewedCue[];
  planned: Rig | undefined;
  /** Shown at once; else behind its heading. */
  open: boolean;
}

export function RigCues({ row, cues, planned, open }: RigCuesProps) {
  return (
    <details className="rig-cues" data-rig={row.id} open={open}>
      <summary>
        <h2>
          <bdi>{[row.name, row.operator].filter(Boolean).join(" · ")}</bdi>
          {row.played && ` (${t("debrief.playedBy")})`}
        </h2>
        <span className="soft">{countsText(row.counts)}</span>
      </summary>
      <table className="debrief__cues">
        <thead>
          <tr>
            <th scope="col">{t("debrief.cue")}</th>
            <th scope="col">{t("debrief.due")}</th>
            <th scope="col">{t("debrief.done")}</th>
            <th scope="col">{t("debrief.how")}</th>
          </tr>
        </thead>
        <tbody>
          {cues.map((cue) => (
            <tr key={cue.cueId} data-cue={cue.cueId} data-score={cue.score}>
              <td>{reviewedWords(planned, cue)}</td>
              <td>
                <bdi dir="ltr">{clockText(cue.dueRunMs)}</bdi>
              </td>
              <td>
                <bdi dir="ltr">{cue.doneRunMs === null ? "–" : clockText(cue.doneRunMs)}</bdi>
              </td>
              <td>{scoreText(cue)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}

function scoreText(cue: ReviewedCue): string {
  const said = howText(cue);
  if (cue.inPlaceBy === null) return said;
  return `${said} (${t("debrief.inPlaceBy", { who: personName(cue.inPlaceBy) })})`;
}

function howText({ score, why, doneRunMs, dueRunMs }: ReviewedCue): string {
  if (score === "missed")
    return t(
      why === "skipped" ? "debrief.skipped" : why === "taken back" ? "debrief.takenBack" : "debrief.missed",
    );
  const by = `\u2066${offText((doneRunMs ?? dueRunMs) - dueRunMs)}\u2069`;
  return t(score === "on time" ? "debrief.onTime" : score === "late" ? "debrief.late" : "debrief.early", {
    by,
  });
}
