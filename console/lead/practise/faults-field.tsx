/** Faults planned for a segment: what, when, whom. */

import type { Rig } from "../../../shared/plan/model/plan.ts";
import { ANCHORS, type Anchor } from "../../../shared/plan/model/vocabulary.ts";
import { FaultSchema } from "../../../shared/run/orders/practice-programme.ts";
import { FAULTS, type FaultKind } from "../../../shared/run/vocabulary.ts";
import { ChoiceField } from "../../forms/choice-field.tsx";
import { t } from "../../words/words.ts";
import { Button } from "../shell/button.tsx";
import { faultName } from "../shell/fault-words.ts";
import { CountField } from "./count-field.tsx";
import { type Moment, MomentField } from "./moment-field.tsx";
import { readOffset } from "./read-offset.ts";

export interface FaultDraft {
  key: number;
  kind: FaultKind;
  at: Moment;
  /** How long it lasts, s; of no matter where it does not last. */
  forS: number;
  /** Empty for everybody. */
  rigId: string;
}

/** Where nothing else is said, s. */
export const FAULT_LASTS_S = 30;

function lasts(kind: FaultKind): boolean {
  return kind !== "phone reload" && kind !== "contact early";
}

interface FaultsFieldProps {
  anchors: readonly Anchor[];
  rigs: readonly Pick<Rig, "id" | "name">[];
  value: readonly FaultDraft[];
  onChange: (value: readonly FaultDraft[]) => void;
}

export function FaultsField({ anchors, rigs, value, onChange }: FaultsFieldProps) {
  const put = (changed: FaultDraft) =>
    onChange(value.map((one) => (one.key === changed.key ? changed : one)));
  const add = () =>
    onChange([
      ...value,
      {
        key: 1 + Math.max(0, ...value.map(({ key }) => key)),
        kind: "card full",
        at: { anchor: anchors.includes("C2") ? "C2" : (anchors[0] ?? ANCHORS[2]), offset: "−1:00" },
        forS: FAULT_LASTS_S,
        rigId: "",
      },
    ]);
  return (
    <fieldset className="practice-faults">
      <legend>{t("practise.faults")}</legend>
      {value.map((fault) => (
        <div key={fault.key} className="practice-screen__row" data-fault={fault.kind}>
          <ChoiceField
            name="fault"
            label="practise.what"
            value={fault.kind}
            options={FAULTS.map((kind) => [kind, faultName(kind)])}
            change={(kind) => put({ ...fault, kind })}
          />
          <MomentField
            name={`fault-${fault.key}`}
            anchorName={`fault-${fault.key}-anchor`}
            label={t("practise.faultAt")}
            anchors={anchors}
            value={fault.at}
            wrong={readOffset(fault.at.offset) === null}
            onChange={(at) => put({ ...fault, at })}
          />
          {lasts(fault.kind) && (
            <LastsField value={fault.forS} onChange={(forS) => put({ ...fault, forS })} />
          )}
          <StruckSelect rigs={rigs} rigId={fault.rigId} onChange={(rigId) => put({ ...fault, rigId })} />
          <Button
            action="remove-fault"
            kind="quiet"
            onClick={() => onChange(value.filter(({ key }) => key !== fault.key))}
          >
            {t("practise.removeFault")}
          </Button>
        </div>
      ))}
      <Button action="add-fault" onClick={add} disabled={value.length >= 20}>
        {t("practise.addFault")}
      </Button>
    </fieldset>
  );
}

/** How long a fault lasts, in seconds as they pass and not as the practice counts them. */
export function LastsField({ value, onChange }: { value: number; onChange: (value: number) => void }) {
  return (
    <CountField
      name="fault-lasts"
      label={t("practise.faultFor")}
      schema={FaultSchema.entries.forS}
      value={value}
      onChange={onChange}
    />
  );
}

interface StruckSelectProps {
  rigs: readonly Pick<Rig, "id" | "name">[];
  rigId: string;
  onChange: (rigId: string) => void;
}

export function StruckSelect({ rigs, rigId, onChange }: StruckSelectProps) {
  return (
    <ChoiceField
      name="fault-rig"
      label="practise.throwFor"
      value={rigId}
      none="practise.everybody"
      options={rigs.map(({ id, name }) => [id, name])}
      change={onChange}
    />
  );
}
