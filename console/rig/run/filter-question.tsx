/**
 * Asks what a filter is: when nobody has said so since joining (S10), when two phones disagree
 * (S9: only somebody who looks settles it), or when an operator wants to say it in full.
 */

import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import type { FilterWord } from "../../../shared/run/vocabulary.ts";
import { FilterMark } from "../../parts/filter-mark.tsx";
import { useWords } from "../../words/words.ts";

interface FilterQuestionProps {
  status: RigStatus;
  exposed: boolean;
  onSay: (word: FilterWord, looked: boolean) => void;
  onCancel?: (() => void) | undefined;
}

const WORDS: readonly FilterWord[] = ["on", "off", "capped"];

export function FilterQuestion({ status, exposed, onSay, onCancel }: FilterQuestionProps) {
  const { t } = useWords();
  const disputed = status.verdict.disputedBy.length > 0;
  return (
    <section
      className="rig-question"
      aria-label={t("rig.filter.ask", { rig: status.rig.name })}
      data-question={disputed ? "disputed" : "filter"}
      data-rig={status.rig.id}
    >
      <p className="rig-question-text">
        <strong>{t(disputed ? "rig.filter.look" : "rig.filter.ask", { rig: status.rig.name })}</strong>
        {disputed ? (
          <span> {t(status.verdict.state === "off" ? "rig.filter.disagree" : "rig.filter.practised")}</span>
        ) : null}
      </p>
      <div className="rig-question-answers">
        {WORDS.map((word) => (
          <button
            key={word}
            type="button"
            className="rig-answer"
            data-action="say-filter"
            data-word={word}
            onClick={() => onSay(word, disputed)}
          >
            <FilterMark state={word} exposed={exposed} size="large" />
          </button>
        ))}
      </div>
      {onCancel ? (
        <button type="button" className="rig-plain" data-action="cancel" onClick={onCancel}>
          {t("rig.filter.leave")}
        </button>
      ) : null}
    </section>
  );
}
