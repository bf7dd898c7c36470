/** One rig: what it is, its cues, its link. Saved as a whole or refused as a whole. */
import { lazy, Suspense, useEffect, useRef, useState } from "react";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Equipment } from "../../../../shared/plan/model/equipment.ts";
import type { Plan, PlanDraft, Rig, RigDraft } from "../../../../shared/plan/model/plan.ts";
import type { Finding } from "../../../../shared/plan/safety/finding.ts";
import { HoldButton } from "../../../parts/hold-button.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { RigLink } from "../../shell/join/rig-link.tsx";
import { findingsOfRig } from "../check/finding-words.ts";
import { RigFindings } from "../check/rig-findings.tsx";
import { usePlanCheck } from "../check/use-plan-check.ts";
import { type EquipmentForm, equipmentForm, readEquipment } from "../equipment/equipment-form.ts";
import { PlanAnswers } from "../plan-answers.tsx";
import type { PlanChange, PlanEditor } from "../use-plan-editor.ts";
import { AcknowledgeForm } from "./acknowledge-form.tsx";
import { CueListEditor, type SoughtCue } from "./cue-list-editor.tsx";
import { cueOfField } from "./cue-of-field.ts";
import { RigFields } from "./rig-fields.tsx";
import {
  EMPTY_RIG_FORM,
  nameProblem,
  newRigId,
  type RigForm,
  type RigProblems,
  readRigForm,
  rigForm,
  withAcknowledgement,
  withoutRig,
  withRig,
} from "./rig-form.ts";

const EquipmentPart = lazy(async () => ({
  default: (await import("../equipment/equipment-part.tsx")).EquipmentPart,
}));

interface RigEditorProps {
  /** Null for a new one. */
  rig: Rig | null;
  editor: PlanEditor;
  /** The revision that this rig was just saved as. */
  savedAs: number | null;
  /** The cues that the usual list has just taken the place of; null where it has not. */
  before: readonly Cue[] | null;
  /** Fill the fields anew from the plan. */
  refill: () => void;
  /** `before`: the cues that the usual list took the place of. */
  saved: (rigId: string, before?: readonly Cue[]) => void;
  removed: () => void;
}

export function RigEditor(props: RigEditorProps) {
  const { rig, editor } = props;
  const [form, setForm] = useState<RigForm>(rig ? rigForm(rig) : EMPTY_RIG_FORM);
  const [cues, setCues] = useState<readonly Cue[]>(rig?.cues ?? []);
  const [equipment, setEquipment] = useState<EquipmentForm>(() => equipmentForm(rig?.equipment));
  const [equipmentOpen, setEquipmentOpen] = useState(false);
  const [problems, setProblems] = useState<RigProblems>({});
  const [asked, setAsked] = useState<Finding | null>(null);
  const [tried, setTried] = useState<PlanChange>(() => (plan: Plan) => plan);

  const [edited, setEdited] = useState(false);
  // Cues whose offset cannot be read as typed, and the one that a save asks for.
  const [unread, setUnread] = useState<readonly string[]>([]);
  const [sought, setSought] = useState<SoughtCue | null>(null);
  const nameField = useRef<HTMLInputElement>(null);
  const rigId = rig?.id ?? newRigId(form.name, editor.base?.rigs.map((one) => one.id) ?? []);
  // While it is being saved the plan may already hold this very rig.
  const taken = editor.saving ? {} : nameProblem(form.name, rig?.id ?? null, editor.base?.rigs ?? []);
  const draftOf = (fields: Omit<RigDraft, "id" | "cues">, made: Equipment | undefined): RigDraft => ({
    ...asPlanned(rig),
    id: rigId,
    ...fields,
    ...(made && { equipment: made }),
  });
  // What would come of it, as far as it can be read.
  const typed = readRigForm(form);
  const built = readEquipment(equipment);
  const asTyped =
    editor.base && typed.ok && built.ok
      ? withRig(editor.base, {
          ...draftOf(typed.fields, built.equipment),
          ...(rig ? { cues: [...cues] } : {}),
        })
      : null;
  const check = usePlanCheck(asTyped);
  const found = findingsOfRig(check.assessment?.findings ?? [], rigId);
  const put = async (change: PlanChange, before?: readonly Cue[]) => {
    setTried(() => change);
    setAsked(null);
    if (await editor.save(change)) props.saved(rigId, before);
  };
  const save = (more: (draft: PlanDraft) => PlanDraft = (draft) => draft) => {
    // An offset that cannot be read is not saved as something else: the field is shown instead.
    const first = cues.find((cue) => unread.includes(cue.id));
    if (first) return setSought({ cueId: first.id });
    const read = readRigForm(form);
    if (!read.ok) return setProblems(read.problems);
    setProblems({});
    if (taken.name) return nameField.current?.focus();
    const made = readEquipment(equipment);
    if (!made.ok) return setEquipmentOpen(true);
    const draft = { ...draftOf(read.fields, made.equipment), ...(rig ? { cues: [...cues] } : {}) };
    return void put((plan) => more(withRig(plan, draft)));
  };
  const defaults = () => {
    const read = readRigForm(form);
    if (!read.ok) return setProblems(read.problems);
    if (taken.name) return;
    return void put((plan) => withRig(plan, draftOf(read.fields, rig?.equipment)), cues);
  };
  const undoDefaults = (before: readonly Cue[]) => {
    const read = readRigForm(form);
    if (!read.ok) return setProblems(read.problems);
    return void put((plan) => withRig(plan, { ...draftOf(read.fields, rig?.equipment), cues: [...before] }));
  };
  const remove = async () => {
    const change: PlanChange = (plan) => withoutRig(plan, rigId);
    setTried(() => change);
    if (await editor.save(change)) props.removed();
  };
  // What was refused for another rig is not said of this one.
  const { forget } = editor;
  // biome-ignore lint/correctness/useExhaustiveDependencies: once, when this rig is opened.
  useEffect(() => forget(), []);
  const wrongCue = cueOfField(editor.problem?.field);

  return (
    <section className="rig-editor" data-rig-editor={rig?.id ?? "new"}>
      <h2>{rig ? rig.name : t("lead.rig.new")}</h2>
      <RigFields
        form={form}
        problems={{ ...problems, ...taken }}
        nameField={nameField}
        change={(part) => {
          setForm({ ...form, ...part });
          setEdited(true);
        }}
      />
      <details
        className="equipment"
        open={equipmentOpen}
        onToggle={(event) => setEquipmentOpen(event.currentTarget.open)}
      >
        <summary data-action="equipment">
          {t("equipment.title")} <span className="soft">{t("equipment.hint")}</span>
        </summary>
        {equipmentOpen && (
          <Suspense fallback={<p className="soft">{t("app.loading")}</p>}>
            <EquipmentPart
              rigId={rigId}
              kind={form.kind}
              form={equipment}
              change={(next) => {
                setEquipment(next);
                setEdited(true);
              }}
              check={check}
            />
          </Suspense>
        )}
      </details>
      {props.before && (
        <p className="rig-editor__undo" role="status" data-undo="default-cues">
          {t("lead.cues.defaultsDone")}
          <Button
            action="undo-default-cues"
            disabled={editor.saving}
            onClick={() => undoDefaults(props.before ?? [])}
          >
            {t("lead.cues.defaultsUndo")}
          </Button>
        </p>
      )}
      {rig && (
        <CueListEditor
          rig={rig}
          cues={cues}
          wrong={wrongCue}
          found={found}
          sought={sought}
          unread={(cueId, yes) => {
            const others = unread.filter((id) => id !== cueId);
            setUnread(yes ? [...others, cueId] : others);
          }}
          change={(next) => {
            setCues(next);
            setEdited(true);
            editor.forget();
          }}
          defaults={defaults}
        />
      )}
      {!rig && <p className="soft">{t("lead.rig.cuesCome")}</p>}
      {!editor.problem && <RigFindings findings={found.filter(({ cueId }) => !rig || cueId === undefined)} />}
      <PlanAnswers
        editor={editor}
        change={tried}
        onReloaded={props.refill}
        onSaved={() => props.saved(rigId)}
        onAcknowledge={setAsked}
      />
      {asked && (
        <AcknowledgeForm
          finding={asked}
          acknowledge={(by) => save((draft) => withAcknowledgement(draft, asked.rule, asked.rigId, by))}
        />
      )}
      <div className="rig-editor__save">
        <Button action="save-rig" kind="main" disabled={editor.saving} onClick={() => save()}>
          {t(rig ? "lead.rig.save" : "lead.rig.add")}
        </Button>
        {props.savedAs !== null && !edited && !editor.problem && (
          <span role="status" data-saved={props.savedAs}>
            {t("lead.site.saved", { revision: props.savedAs })}
          </span>
        )}
        {rig?.edits && (
          <Button
            action="undo-edit"
            kind="quiet"
            disabled={editor.saving || edited}
            onClick={async () => {
              if (await editor.undo(rigId)) props.saved(rigId);
            }}
          >
            {t("lead.rig.undo")}
          </Button>
        )}
        {rig && (
          <div className="rig-editor__remove" data-action="remove-rig">
            <HoldButton label={t("lead.rig.remove")} onHeld={() => void remove()} />
          </div>
        )}
      </div>
      {rig && <RigLink rig={rig} />}
    </section>
  );
}

/** What of a rig no field here shows: it stays as it is. */
function asPlanned(rig: Rig | null): Partial<Rig> {
  if (!rig) return {};
  const { cues: _cues, edits: _edits, variants: _variants, equipment: _equipment, ...fields } = rig;
  return fields;
}
