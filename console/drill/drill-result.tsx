/** How a drill went: each cue against its window, and what is to be looked at now. */
import type { Rig } from "../../shared/plan/model/plan.ts";
import type { Review, ReviewedCue } from "../../shared/review/review.ts";
import { offText, reviewedWords } from "../parts/words-for-reviewed.ts";
import "../words/bundles/drill.ts";
import { useWords } from "../words/words.ts";

const SCORE = {
  early: "drill.early",
  "on time": "drill.onTime",
  late: "drill.late",
  missed: "drill.missed",
} as const;

interface DrillResultProps {
  review: Review;
  rigs: readonly Rig[];
  /** Rigs whose filters were touched only: nothing here may read as an order to take one off (S8). */
  touched: readonly string[];
}

export function DrillResult({ review, rigs, touched }: DrillResultProps) {
  const { t } = useWords();
  const said = (cue: ReviewedCue): string => {
    if (touched.includes(cue.rigId) && (cue.action === "filter-off" || cue.action === "filter-on"))
      return t(`cue.${cue.action}.touch`);
    return reviewedWords(
      rigs.find(({ id }) => id === cue.rigId),
      cue,
    );
  };
  const stillOff = review.filters.some(({ open }) => open.at(-1)?.closed === false);
  return (
    <section className="drill__result" data-cues={review.cues.length}>
      <h2>{t("drill.how")}</h2>
      {stillOff && <p className="drill__caution">{t("drill.stillOff")}</p>}
      {review.cues.length === 0 ? (
        <p>{t("drill.none")}</p>
      ) : (
        <ul>
          {review.cues.map((cue) => (
            <li key={`${cue.rigId} ${cue.cueId}`} data-cue={cue.cueId} data-score={cue.score}>
              {said(cue)} <strong>{t(SCORE[cue.score])}</strong>
              {cue.doneRunMs !== null && <span dir="ltr"> {offText(cue.doneRunMs - cue.dueRunMs)}</span>}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
