/** S5: the lead is told why filters come off by eye only, and by how much safe cues come earlier. */
import { standingTotality } from "../../../../shared/run/orders/calls.ts";
import type { RunView } from "../../../../shared/run/views/run-view.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t } from "../../../words/words.ts";

export function DoubtLine({ run }: { run: RunView }) {
  const { doubt, gets, contacts, runNow } = run;
  const reasons = doubt.reasons.filter((reason) => reason !== "called off");
  if (gets.kind !== "total" || reasons.length === 0) return null;
  if (contacts.c3 !== null && runNow >= contacts.c3) return null;
  const why = reasons.map((reason) => t(`doubt.${reason}`)).join(" ");
  const seen = standingTotality(run.run.calls) !== null;
  return (
    <p className="array__doubt" data-doubt={reasons.join(", ")}>
      {seen
        ? t("lead.doubt.settled", { why })
        : t("lead.doubt.says", { why, time: lengthWords(Math.ceil(doubt.byS)) })}
    </p>
  );
}
