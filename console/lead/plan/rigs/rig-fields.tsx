/** What a rig is: the fields that its cue list and the safety rules depend on. */
import type { RefObject } from "react";
import { lengthOf } from "../../../../shared/fields/text.ts";
import { RigSchema } from "../../../../shared/plan/model/plan.ts";
import { RIG_KINDS } from "../../../../shared/plan/model/vocabulary.ts";
import { CheckField } from "../../../forms/check-field.tsx";
import { ChoiceField } from "../../../forms/choice-field.tsx";
import { TextField } from "../../../forms/text-field.tsx";
import { t, type WordKey } from "../../../words/words.ts";
import { NAME_MOST, type RigForm, type RigProblems, usualFor } from "./rig-form.ts";

const OPERATOR_MOST = lengthOf(RigSchema.entries.operator);

interface RigFieldsProps {
  form: RigForm;
  problems: RigProblems;
  nameField: RefObject<HTMLInputElement | null>;
  change: (part: Partial<RigForm>) => void;
}

export function RigFields(props: RigFieldsProps) {
  const { form, change } = props;
  return (
    <div className="rig-fields">
      <div className="rig-fields__row">
        <Typed name="name" label="lead.rig.name" most={NAME_MOST} {...props} />
        <Typed name="operator" label="lead.rig.operator" most={OPERATOR_MOST} {...props} />
      </div>
      <div className="rig-fields__row">
        <ChoiceField
          name="kind"
          label="lead.rig.kind"
          value={form.kind}
          options={RIG_KINDS.map((kind) => [kind, t(`rigKind.${kind}`)])}
          change={(kind) => change({ kind, ...usualFor(kind) })}
        />
        <Typed name="focalLength" label="lead.rig.focalLength" {...props} />
        <ChoiceField
          name="filter"
          label="lead.rig.filter"
          value={form.filter}
          options={[
            ["front", t("lead.rig.filterFront")],
            ["none by design", t("lead.rig.filterNone")],
          ]}
          change={(filter) => change({ filter })}
        />
      </div>
      <div className="rig-fields__checks">
        <Check name="lookedThrough" label="lead.rig.lookedThrough" {...props} />
        <Check name="publicQueue" label="lead.rig.publicQueue" {...props} />
        <Check name="unattended" label="lead.rig.unattended" {...props} />
      </div>
    </div>
  );
}

function Typed(
  props: RigFieldsProps & { name: "name" | "operator" | "focalLength"; label: WordKey; most?: number },
) {
  const { name, label, form, problems, nameField, most } = props;
  return (
    <TextField
      name={name}
      label={label}
      value={form[name]}
      problem={problems[name]}
      {...(most !== undefined && { most })}
      field={name === "name" ? nameField : undefined}
      change={(text) => props.change({ [name]: text })}
    />
  );
}

function Check(
  props: RigFieldsProps & { name: "lookedThrough" | "publicQueue" | "unattended"; label: WordKey },
) {
  const { name, label, form, change } = props;
  return <CheckField name={name} label={label} value={form[name]} change={(on) => change({ [name]: on })} />;
}
