/** What a rig is: the fields that its cue list and the safety rules depend on. */
import { type RefObject, useId } from "react";
import { RIG_KINDS, type RigKind } from "../../../../shared/plan/model/vocabulary.ts";
import { t, type WordKey } from "../../../words/words.ts";
import { type RigForm, type RigProblems, usualFor } from "./rig-form.ts";

interface RigFieldsProps {
  form: RigForm;
  problems: RigProblems;
  nameField: RefObject<HTMLInputElement | null>;
  change: (part: Partial<RigForm>) => void;
}

export function RigFields(props: RigFieldsProps) {
  const id = useId();
  const { form, change } = props;
  return (
    <div className="rig-fields">
      <div className="rig-fields__row">
        <TextField name="name" label="lead.rig.name" most={60} {...props} />
        <TextField name="operator" label="lead.rig.operator" most={60} {...props} />
      </div>
      <div className="rig-fields__row">
        <div className="labelled">
          <label htmlFor={`${id}-kind`}>{t("lead.rig.kind")}</label>
          <select
            id={`${id}-kind`}
            name="kind"
            className="field"
            value={form.kind}
            onChange={(event) => {
              const kind = event.target.value as RigKind;
              change({ kind, ...usualFor(kind) });
            }}
          >
            {RIG_KINDS.map((kind) => (
              <option key={kind} value={kind}>
                {t(`rigKind.${kind}`)}
              </option>
            ))}
          </select>
        </div>
        <TextField name="focalLength" label="lead.rig.focalLength" most={6} {...props} />
        <div className="labelled">
          <label htmlFor={`${id}-filter`}>{t("lead.rig.filter")}</label>
          <select
            id={`${id}-filter`}
            name="filter"
            className="field"
            value={form.filter}
            onChange={(event) => change({ filter: event.target.value as RigForm["filter"] })}
          >
            <option value="front">{t("lead.rig.filterFront")}</option>
            <option value="none by design">{t("lead.rig.filterNone")}</option>
          </select>
        </div>
      </div>
      <div className="rig-fields__checks">
        <Check name="lookedThrough" label="lead.rig.lookedThrough" {...props} />
        <Check name="publicQueue" label="lead.rig.publicQueue" {...props} />
        <Check name="unattended" label="lead.rig.unattended" {...props} />
      </div>
    </div>
  );
}

function TextField(
  props: RigFieldsProps & { name: "name" | "operator" | "focalLength"; label: WordKey; most: number },
) {
  const id = useId();
  const { name, form, problems, change } = props;
  const problem = problems[name];
  return (
    <div className="labelled">
      <label htmlFor={id}>{t(props.label)}</label>
      <input
        ref={name === "name" ? props.nameField : undefined}
        id={id}
        name={name}
        className="field"
        autoComplete="off"
        maxLength={props.most}
        value={form[name]}
        aria-invalid={problem !== undefined}
        aria-describedby={problem ? `${id}-says` : undefined}
        onChange={(event) => change({ [name]: event.target.value })}
      />
      {problem && (
        <p id={`${id}-says`} className="says says--wrong" data-wrong={name}>
          {t(problem)}
        </p>
      )}
    </div>
  );
}

function Check(
  props: RigFieldsProps & { name: "lookedThrough" | "publicQueue" | "unattended"; label: WordKey },
) {
  const { name, form, change } = props;
  return (
    <label className="check">
      <input
        type="checkbox"
        name={name}
        checked={form[name]}
        onChange={(event) => change({ [name]: event.target.checked })}
      />
      <span>{t(props.label)}</span>
    </label>
  );
}
