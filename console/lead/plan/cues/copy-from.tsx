/** What was changed at another rig, made here as well: edits are copied, not the list. */
import { useId, useState } from "react";
import { standingEdits } from "../../../../shared/plan/edits/edit-list.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";

export function CopyFrom(props: { others: readonly Rig[]; copy: ((fromRigId: string) => void) | null }) {
  const { copy } = props;
  const id = useId();
  const [chosen, setChosen] = useState("");
  const others = props.others.filter((rig) => standingEdits(rig.edits ?? []).length > 0);
  if (others.length === 0) return null;
  const from = others.find((rig) => rig.id === chosen) ?? others[0];
  return (
    <div className="copy-from">
      <label htmlFor={id}>{t("cues.copy")}</label>
      <select
        id={id}
        name="copy-from"
        className="field"
        value={from?.id ?? ""}
        onChange={(event) => setChosen(event.target.value)}
      >
        {others.map((rig) => (
          <option key={rig.id} value={rig.id}>
            {rig.name}
          </option>
        ))}
      </select>
      <Button action="copy-edits" disabled={copy === null} onClick={() => from && copy?.(from.id)}>
        {t("cues.copyDo")}
      </Button>
      {copy === null && <span className="soft">{t("cues.copyFirst")}</span>}
    </div>
  );
}
