/** How a drill went: each cue against its window, and what is to be looked at now. */
import type { Rig } from "../../shared/plan/model/plan.ts";
import type { Review, ReviewedCue } from "../../shared/review/review.ts";
import { cueWords } from "../parts/words-for-cue.ts";
import "../words/bundles/drill.ts";
import { useWords } from "../words/words.ts";

const SCORE = {
  early: "drill.early",
  "on time": "drill.onTime",
  late: "drill.late",
  missed: "drill.missed",
} as const;

export function DrillResult({ review, rigs }: { review: Review; rigs: readonly Rig[] }) {
  const { t } = useWords();
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
              {wordsOf(cue, rigs)} <strong>{t(SCORE[cue.score])}</strong>
              {cue.doneRunMs !== null && <span dir="ltr"> {offText(cue.doneRunMs - cue.dueRunMs)}</span>}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

function wordsOf({ rigId, cueId, action }: ReviewedCue, rigs: readonly Rig[]): string {
  const base = cueId.replace(/\.\d+$/, "");
  const cue = rigs.find(({ id }) => id === rigId)?.cues.find(({ id }) => id === cueId || id === base);
  return cueWords(cue ?? { key: null, say: null, action });
}

/** Signed seconds to a tenth, from when it was due. */
function offText(ms: number): string {
  return `${ms < 0 ? "−" : "+"}${Math.abs(ms / 1000).toFixed(1)} s`;
}
