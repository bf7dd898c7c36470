/** One thing that would make the plan feasible: what it changes, what it costs, and the tap that does it. */
import { useId, useState } from "react";
import { lengthOf } from "../../../../shared/fields/text.ts";
import type { AssessedMend } from "../../../../shared/plan/assess/apply-mend.ts";
import { type Plan, RigSchema } from "../../../../shared/plan/model/plan.ts";
import type { Anchor } from "../../../../shared/plan/model/vocabulary.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { changeLines, type MendChange } from "./mend-words.ts";

const NAME_MOST = lengthOf(RigSchema.entries.operator);

interface MendOfferProps {
  /** The contact around which it helps; null where that is not known. */
  around: Anchor | null;
  mend: AssessedMend;
  plan: Plan;
  busy: boolean;
  take: (name: string) => void;
}

export function MendOffer({ around, mend, plan, busy, take }: MendOfferProps) {
  const id = useId();
  const [name, setName] = useState("");
  const { changes, slackS } = mend;
  const asksName = changes.some((change) => change.kind === "hand-over" && change.to === "");
  return (
    <li className="mend" data-mend={changes[0]?.kind}>
      {around && <h5 className="mend__around">{t("hands.around", { anchor: around })}</h5>}
      <ul className="mend__changes">
        {changeLines(changes, plan).map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      <p className="soft">
        {[...new Set(changes.map((change) => costWords(change, plan)))].join(" ")}{" "}
        {slackS === null ? t("hands.then.unsure") : t("hands.then.spare", { length: lengthWords(slackS) })}
      </p>
      <form
        className="mend__take"
        onSubmit={(event) => {
          event.preventDefault();
          take(name.trim());
        }}
      >
        {asksName && (
          <div className="labelled">
            <label htmlFor={id}>{t("hands.whoHelps")}</label>
            <input
              id={id}
              name="helper"
              className="field"
              autoComplete="off"
              maxLength={NAME_MOST}
              value={name}
              onChange={(event) => setName(event.target.value)}
            />
          </div>
        )}
        <Button action="take-mend" type="submit" disabled={busy || (asksName && name.trim() === "")}>
          {t(`hands.take.${kindOf(changes)}`)}
        </Button>
      </form>
    </li>
  );
}

/** What a mend is about, where it is one kind of thing only. */
function kindOf(changes: readonly MendChange[]): MendChange["kind"] | "all" {
  const kinds = new Set(changes.map(({ kind }) => kind));
  const [kind] = kinds;
  return kinds.size === 1 && kind ? kind : "all";
}

function costWords(change: MendChange, plan: Plan): string {
  if (change.kind !== "earlier") return t(`hands.cost.${change.kind}`);
  const cue = plan.rigs.find(({ id }) => id === change.rigId)?.cues.find(({ id }) => id === change.cueId);
  return t(cue?.action === "filter-off" ? "hands.cost.earlier-open" : "hands.cost.earlier");
}
