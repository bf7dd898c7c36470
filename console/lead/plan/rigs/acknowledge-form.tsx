/** S14: a rule that protects equipment may be set aside by a lead who puts their name to it. */
import { type FormEvent, useId, useState } from "react";
import { lengthOf } from "../../../../shared/fields/text.ts";
import { AcknowledgementSchema } from "../../../../shared/plan/model/plan.ts";
import type { Finding } from "../../../../shared/plan/safety/finding.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { ruleText } from "../../shell/problem-text.ts";

export function AcknowledgeForm(props: { finding: Finding; acknowledge: (by: string) => void }) {
  const id = useId();
  const { finding } = props;
  const [name, setName] = useState("");
  const submit = (event: FormEvent) => {
    event.preventDefault();
    props.acknowledge(name.trim());
  };
  return (
    <form className="acknowledge" onSubmit={submit}>
      <p>{ruleText(finding.rule, finding.sentence)}</p>
      <label htmlFor={id}>{t("lead.acknowledgeName")}</label>
      <input
        id={id}
        className="field"
        maxLength={lengthOf(AcknowledgementSchema.entries.by)}
        required
        value={name}
        onChange={(event) => setName(event.target.value)}
      />
      <Button action="acknowledge-save" type="submit" disabled={name.trim() === ""}>
        {t("lead.acknowledge")}
      </Button>
    </form>
  );
}
