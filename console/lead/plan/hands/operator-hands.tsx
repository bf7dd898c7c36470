/** One person's hands: whether they can do it all, in which order around C2 and C3, and what would help. */

import type { AssessedMend } from "../../../../shared/plan/assess/apply-mend.ts";
import type { AssessedHands } from "../../../../shared/plan/assess/assess-plan.ts";
import { MOST_SLACK_S } from "../../../../shared/plan/hands/solve.ts";
import type { Plan } from "../../../../shared/plan/model/plan.ts";
import type { Anchor } from "../../../../shared/plan/model/vocabulary.ts";
import { AlertLine } from "../../../parts/alert-line.tsx";
import { anchorWords } from "../../../parts/words-for-anchor.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t } from "../../../words/words.ts";
import { rigName } from "../check/names-in-plan.ts";
import type { PlanChange } from "../use-plan-editor.ts";
import { HandsStrip } from "./hands-strip.tsx";
import { HelpersForm } from "./helpers-form.tsx";
import { MendOffer } from "./mend-offer.tsx";
import { stripAround } from "./strip-layout.ts";

interface OperatorHandsProps {
  hands: AssessedHands;
  plan: Plan;
  busy: boolean;
  take: (mend: AssessedHands["mends"][number], name: string) => void;
  save: (change: PlanChange) => void;
}

export function OperatorHands({ hands, plan, busy, take, save }: OperatorHandsProps) {
  const { feasible, exact, mends } = hands;
  const open = openLeft(hands, plan);
  return (
    <section className="operator-hands" data-hands={hands.operator} data-feasible={feasible}>
      <h3>{whose(hands, plan)}</h3>
      <p className="operator-hands__says" data-says={feasible ? "feasible" : "not"}>
        {saysOf(hands)}
        {!exact && ` ${t("hands.best")}`}
      </p>
      {open !== "" && <AlertLine priority="danger" title={t("hands.openLeft", { rigs: open })} />}
      {!feasible && (
        <>
          <h4>{t(mends.length > 0 ? "hands.whatHelps" : "hands.nothingHelps")}</h4>
          <ul className="operator-hands__mends">
            {mends.map((mend) => (
              <MendOffer
                key={JSON.stringify(mend.changes)}
                around={contactOf(mend, hands)}
                mend={mend}
                plan={plan}
                busy={busy}
                take={(name) => take(mend, name)}
              />
            ))}
          </ul>
          {mends.length > 0 &&
            contactsWithout(hands).map((anchor) => (
              <p key={anchor} className="soft" data-more-later={anchor}>
                {t("hands.moreLater", { anchor: anchorWords(anchor) })}
              </p>
            ))}
        </>
      )}
      {(["C2", "C3"] as const).map((anchor) => {
        const strip = stripAround(hands, anchor);
        return strip && <HandsStrip key={anchor} strip={strip} anchor={anchor} plan={plan} />;
      })}
      <HelpersForm plan={plan} rigIds={hands.rigIds} busy={busy} save={save} />
    </section>
  );
}

/** A mend is of one stretch of time: the contact of the first thing in it that has a place in the order. */
function contactOf({ changes }: AssessedMend, { order, dropped }: AssessedHands): Anchor | null {
  for (const change of changes) {
    if (change.kind === "hand-over") continue;
    const at = [...dropped, ...order].find(
      ({ rigId, cueId }) => rigId === change.rigId && cueId === change.cueId,
    );
    if (at) return at.anchor;
  }
  return null;
}

/** Where something is left undone and nothing is offered yet. */
function contactsWithout(hands: AssessedHands): Anchor[] {
  const offered = hands.mends.map((mend) => contactOf(mend, hands));
  const undone = [...new Set(hands.dropped.map(({ anchor }) => anchor))];
  return offered.includes(null) ? [] : undone.filter((anchor) => !offered.includes(anchor));
}

/** The rigs whose filter would not be on again in time, as text; "" where there is none. */
function openLeft({ dropped }: AssessedHands, plan: Plan): string {
  const isFilterOn = ({ rigId, cueId }: { rigId: string; cueId: string }) =>
    plan.rigs.some(
      ({ id, cues }) => id === rigId && cues.some((cue) => cue.id === cueId && cue.action === "filter-on"),
    );
  return dropped
    .filter(isFilterOn)
    .map(({ rigId }) => rigName(plan, rigId))
    .join(", ");
}

function whose({ operator, rigIds }: AssessedHands, plan: Plan): string {
  const rigs = rigIds.map((id) => rigName(plan, id)).join(", ");
  return operator === "" ? t("hands.nobody", { rigs }) : t("hands.whose", { who: operator, rigs });
}

function saysOf({ feasible, slackS, order }: AssessedHands): string {
  if (!feasible || slackS === null) return t("hands.not");
  if (order.length === 0) return t("hands.nothing");
  return slackS >= MOST_SLACK_S
    ? t("hands.works.easily", { length: lengthWords(MOST_SLACK_S) })
    : t("hands.works", { length: lengthWords(slackS) });
}
