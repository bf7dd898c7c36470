/** Faults planned for a segment: what, when, whom. */

import type { Rig } from "../../../shared/plan/model/plan.ts";
import { ANCHORS, type Anchor } from "../../../shared/plan/model/vocabulary.ts";
import { FAULTS, type FaultKind } from "../../../shared/run/vocabulary.ts";
import { t } from "../../words/words.ts";
import { Button } from "../shell/button.tsx";
import { faultName } from "../shell/fault-words.ts";
import { type Moment, MomentField } from "./moment-field.tsx";
import { readOffset } from "./read-offset.ts";

export interface FaultDraft {
  key: number;
  kind: FaultKind;
  at: Moment;
  /** Empty for everybody. */
  rigId: string;
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
        rigId: "",
      },
    ]);
  return (
    <fieldset className="practice-faults">
      <legend>{t("practise.faults")}</legend>
      {value.map((fault) => (
        <div key={fault.key} className="practice-screen__row" data-fault={fault.kind}>
          <FaultSelect kind={fault.kind} onChange={(kind) => put({ ...fault, kind })} />
          <MomentField
            name={`fault-${fault.key}`}
            anchorName={`fault-${fault.key}-anchor`}
            label={t("practise.faultAt")}
            anchors={anchors}
            value={fault.at}
            wrong={readOffset(fault.at.offset) === null}
            onChange={(at) => put({ ...fault, at })}
          />
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

function FaultSelect({ kind, onChange }: { kind: FaultKind; onChange: (kind: FaultKind) => void }) {
  return (
    <label className="labelled">
      <span>{t("practise.what")}</span>
      <select
        name="fault"
        className="field"
        value={kind}
        onChange={(event) => onChange(event.target.value as FaultKind)}
      >
        {FAULTS.map((one) => (
          <option key={one} value={one}>
            {faultName(one)}
          </option>
        ))}
      </select>
    </label>
  );
}

interface StruckSelectProps {
  rigs: readonly Pick<Rig, "id" | "name">[];
  rigId: string;
  onChange: (rigId: string) => void;
}

export function StruckSelect({ rigs, rigId, onChange }: StruckSelectProps) {
  return (
    <label className="labelled">
      <span>{t("practise.throwFor")}</span>
      <select
        name="fault-rig"
        className="field"
        value={rigId}
        onChange={(event) => onChange(event.target.value)}
      >
        <option value="">{t("practise.everybody")}</option>
        {rigs.map(({ id, name }) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}
