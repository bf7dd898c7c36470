/** A rig's equipment, closed until somebody opens it: what it is, and beside it what it gives, live. */
import "../../../words/bundles/planner.ts";
import "../../../words/bundles/prepare.ts";
import type { RigKind } from "../../../../shared/plan/model/vocabulary.ts";
import { plannedContacts } from "../../../../shared/run/effective-contacts.ts";
import { useLead } from "../../shell/lead-context.ts";
import type { PlanCheck } from "../check/use-plan-check.ts";
import { EquipmentFields } from "./equipment-fields.tsx";
import type { EquipmentForm, ReadEquipment } from "./equipment-form.ts";
import { type DrawnCamera, fixedStand, frameSky } from "./frame-sky.ts";
import { useSky } from "./use-sky.ts";
import { WhatItGives } from "./what-it-gives.tsx";
import "./equipment-part.css";

interface EquipmentPartProps {
  rigId: string;
  kind: RigKind;
  /** As typed; null where it cannot be read. */
  focalLengthMm: number | null;
  form: EquipmentForm;
  /** The same as read. */
  read: ReadEquipment;
  change: (form: EquipmentForm) => void;
  check: PlanCheck;
}

export function EquipmentPart({ rigId, kind, focalLengthMm, form, read, change, check }: EquipmentPartProps) {
  const { state } = useLead().view;
  const c4UtcMs = state && plannedContacts(state).c4;
  const made = read.ok ? (read.equipment ?? null) : null;
  const sky = useSky(state?.plan ?? null);
  const site = state?.plan.site ?? null;
  const camera: DrawnCamera | null =
    focalLengthMm !== null && made?.sensor
      ? { focalLengthMm: focalLengthMm * made.factor, sensor: made.sensor, mount: made.mount }
      : null;
  return (
    <div className="equipment-part" data-part="equipment">
      <EquipmentFields form={form} problems={read.ok ? {} : read.problems} kind={kind} change={change} />
      <WhatItGives
        budget={check.assessment?.budgets[rigId] ?? null}
        sensor={made?.sensor ?? null}
        own={(made?.brightness ?? []).map(({ of }) => of)}
        sky={sky && camera && frameSky(sky, camera)}
        stand={sky && camera && site && fixedStand(sky, camera, made?.tracking ?? null, site)}
        c4UtcMs={c4UtcMs}
        waiting={check.waiting}
      />
    </div>
  );
}
