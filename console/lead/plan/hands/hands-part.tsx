/**
 * Whether the people there can carry the plan out, each with the order of their hands; an offered mend
 * is one tap, saved as everything is, looked at again, and can be undone.
 */
import "../../../words/bundles/planner.ts";
import { useState } from "react";
import { type AssessedMend, withMend, withoutMend } from "../../../../shared/plan/assess/apply-mend.ts";
import type { AssessedHands } from "../../../../shared/plan/assess/assess-plan.ts";
import type { Plan } from "../../../../shared/plan/model/plan.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { problemText } from "../../shell/problem-text.ts";
import type { PlanCheck } from "../check/use-plan-check.ts";
import { PlanAnswers } from "../plan-answers.tsx";
import type { PlanChange, PlanEditor } from "../use-plan-editor.ts";
import { OperatorHands } from "./operator-hands.tsx";
import "./hands-part.css";

interface Taken {
  changes: AssessedMend["changes"];
  before: Plan;
}

export function HandsPart(props: { plan: Plan; editor: PlanEditor; check: PlanCheck }) {
  const { plan, editor, check } = props;
  const { assessment, waiting, problem } = check;
  const [tried, setTried] = useState<PlanChange>(() => (same: Plan) => same);
  const [taken, setTaken] = useState<Taken | null>(null);
  const put = async (change: PlanChange): Promise<boolean> => {
    setTried(() => change);
    return editor.save(change);
  };
  const take = async ({ changes }: AssessedMend, name: string) => {
    if (await put((now) => withMend(now, changes, name))) setTaken({ changes, before: plan });
  };
  const undo = async ({ changes, before }: Taken) => {
    if (await put((now) => withoutMend(now, changes, before))) setTaken(null);
  };
  const hands = [...(assessment?.hands ?? [])].sort(worstFirst);
  return (
    <section
      className="hands-part"
      data-part="hands"
      data-revision={plan.revision}
      data-saving={editor.saving}
      data-waiting={waiting}
      aria-busy={waiting}
    >
      <h2>{t("hands.title")}</h2>
      <p className="soft">{t("hands.source")}</p>
      {taken && (
        <p className="hands-part__undo" role="status" data-undo="mend">
          {t("hands.taken")}
          <Button action="undo-mend" disabled={editor.saving} onClick={() => void undo(taken)}>
            {t("hands.undo")}
          </Button>
        </p>
      )}
      <PlanAnswers editor={editor} change={tried} />
      {problem && <p className="says--wrong">{problemText(problem)}</p>}
      {assessment && hands.length === 0 && <p className="soft">{t("hands.noPlace")}</p>}
      {!assessment && !problem && <p className="soft">{t("hands.looking")}</p>}
      {hands.map((one) => (
        <OperatorHands
          key={one.rigIds.join(" ")}
          hands={one}
          plan={plan}
          busy={editor.saving || waiting}
          take={(mend, name) => void take(mend, name)}
          save={(change) => void put(change)}
        />
      ))}
    </section>
  );
}

/** Who cannot comes first, then who has least to spare; else as the plan has them. */
function worstFirst(a: AssessedHands, b: AssessedHands): number {
  return (a.slackS ?? -1) - (b.slackS ?? -1);
}
