/** A moment of the run as a lead types it: minutes and seconds before or after a contact. */
import { useId } from "react";
import type { Anchor } from "../../../shared/plan/model/vocabulary.ts";
import { ChoiceField } from "../../forms/choice-field.tsx";
import { anchorWords } from "../../parts/words-for-anchor.ts";

export interface Moment {
  anchor: Anchor;
  /** As it was typed (read-offset.ts). */
  offset: string;
}

interface MomentFieldProps {
  /** Of the offset and of the contact. */
  name: string;
  anchorName: string;
  label: string;
  anchors: readonly Anchor[];
  value: Moment;
  wrong: boolean;
  describedBy?: string;
  onChange: (value: Moment) => void;
}

export function MomentField({
  name,
  anchorName,
  label,
  anchors,
  value,
  wrong,
  describedBy,
  onChange,
}: MomentFieldProps) {
  const id = useId();
  return (
    <div className="practice-moment">
      <div className="labelled">
        <label htmlFor={id}>{label}</label>
        <input
          id={id}
          name={name}
          className="field field--short"
          dir="ltr"
          value={value.offset}
          aria-invalid={wrong}
          aria-describedby={describedBy}
          onChange={(event) => onChange({ ...value, offset: event.target.value })}
        />
      </div>
      <ChoiceField
        name={anchorName}
        label="lead.practice.contact"
        value={value.anchor}
        options={anchors.map((one) => [one, anchorWords(one)])}
        change={(anchor) => onChange({ ...value, anchor })}
      />
    </div>
  );
}
