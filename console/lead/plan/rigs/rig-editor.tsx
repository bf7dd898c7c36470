/** One rig: what it is, its cues, its link. Saved as a whole or refused as a whole. */
import { useEffect, useMemo, useRef, useState } from "react";
import type { AssessedHands } from "../../../../shared/plan/assess/assess-plan.ts";
import { same } from "../../../../shared/plan/edits/same.ts";
import type { Equipment } from "../../../../shared/plan/model/equipment.ts";
import type { Plan, PlanDraft, Rig, RigDraft } from "../../../../shared/plan/model/plan.ts";
import type { Finding } from "../../../../shared/plan/safety/finding.ts";
import { HoldButton } from "../../../parts/hold-button.tsx";
import { late } from "../../../parts/late.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { RigLink } from "../../shell/join/rig-link.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { findingsOfRig } from "../check/finding-words.ts";
import { RigFindings } from "../check/rig-findings.tsx";
import { usePlanCheck } from "../check/use-plan-check.ts";
import { type CueDraft, draftOf } from "../cues/cue-draft.ts";
import { CuePart } from "../cues/cue-part.tsx";
import { begun, type History } from "../cues/history.ts";
import { wrongCue } from "../cues/wrong-cue.ts";
import {
  type EquipmentForm,
  equipmentForm,
  type ReadEquipment,
  readEquipment,
} from "../equipment/equipment-form.ts";
import { PlanAnswers } from "../plan-answers.tsx";
import type { PlanChange, PlanEditor } from "../use-plan-editor.ts";
import { AcknowledgeForm } from "./acknowledge-form.tsx";
import { RigFields } from "./rig-fields.tsx";
import {
  EMPTY_RIG_FORM,
  nameProblem,
  newId,
  nextName,
  type ReadRig,
  type RigForm,
  type RigProblems,
  readRigForm,
  rigForm,
  withAcknowledgement,
  withoutRig,
  withRig,
} from "./rig-form.ts";

const EquipmentPart = late(async () => (await import("../equipment/equipment-part.tsx")).EquipmentPart);

/** While nothing is known of them: the same list at every draw. */
const NO_HANDS: readonly AssessedHands[] = [];

interface RigEditorProps {
  /** Null for a new one. */
  rig: Rig | null;
  /** What a new one begins as; null for empty fields. */
  like: Rig | null;
  editor: PlanEditor;
  /** The revision that this rig was just saved as. */
  savedAs: number | null;
  /** Fill the fields anew from the plan. */
  refill: () => void;
  saved: (rigId: string) => void;
  removed: () => void;
  another: (like: Rig) => void;
}

export function RigEditor(props: RigEditorProps) {
  const { rig, like, editor } = props;
  const [form, setForm] = useState<RigForm>(() => formOf(rig, like, editor.base?.rigs ?? []));
  const [work, setWork] = useState<History<CueDraft>>(() => begun(draftOf(rig)));
  const [equipment, setEquipment] = useState<EquipmentForm>(() => equipmentForm((rig ?? like)?.equipment));
  const [equipmentOpen, setEquipmentOpen] = useState(false);
  const [problems, setProblems] = useState<RigProblems>({});
  const [asked, setAsked] = useState<Finding | null>(null);
  const [tried, setTried] = useState<PlanChange>(() => (plan: Plan) => plan);

  const [edited, setEdited] = useState(false);
  // Whether something of the open cue cannot be read as typed; a new object when a save asks for it.
  const [unread, setUnread] = useState(false);
  const [sought, setSought] = useState<object | null>(null);
  const nameField = useRef<HTMLInputElement>(null);
  const rigId = rig?.id ?? newId(form.name, editor.base?.rigs.map((one) => one.id) ?? [], "rig");
  // While it is being saved the plan may already hold this very rig.
  const taken = editor.saving ? {} : nameProblem(form.name, rig?.id ?? null, editor.base?.rigs ?? []);
  const rigDraft = (fields: Omit<RigDraft, "id" | "cues">, made: Equipment | undefined): RigDraft => ({
    ...asPlanned(rig),
    id: rigId,
    ...fields,
    ...(made && { equipment: made }),
    ...(rig && asWorkedAt(rig, work.now)),
    // The list of the one it is like goes along, as long as it is a list for such a rig.
    ...(!rig && like && LIST_FOR.every((name) => fields[name] === like[name]) && listOf(like)),
  });
  // What would come of it, as far as it can be read.
  const typed = useMemo(() => readRigForm(form), [form]);
  const built = useMemo(() => readEquipment(equipment), [equipment]);
  const asTyped =
    editor.base && typed.ok && built.ok
      ? withRig(editor.base, rigDraft(typed.fields, built.equipment))
      : null;
  const shown = useMemo(() => rig && asShown(rig, typed, built, work.now), [rig, typed, built, work.now]);
  const check = usePlanCheck(asTyped);
  const { assessment } = check;
  const found = useMemo(() => findingsOfRig(assessment?.findings ?? [], rigId), [assessment, rigId]);
  const put = async (change: PlanChange) => {
    setTried(() => change);
    setAsked(null);
    if (await editor.save(change)) props.saved(rigId);
  };
  const save = (more: (draft: PlanDraft) => PlanDraft = (draft) => draft) => {
    // What cannot be read is not saved as something else: the field is shown instead.
    if (unread) return setSought({});
    if (!typed.ok) return setProblems(typed.problems);
    setProblems({});
    if (taken.name) return nameField.current?.focus();
    if (!built.ok) return setEquipmentOpen(true);
    const draft = rigDraft(typed.fields, built.equipment);
    return void put((plan) => more(withRig(plan, draft)));
  };
  const remove = async () => {
    const change: PlanChange = (plan) => withoutRig(plan, rigId);
    setTried(() => change);
    if (await editor.save(change)) props.removed();
  };
  // While nothing is typed that it could take away, the newest plan is shown: a page that was just
  // opened may begin with what it remembers.
  const { base, reload, problem, conflict, saving } = editor;
  const newest = useLead().view.state?.plan.revision ?? 0;
  const behind = base !== null && newest > base.revision && !edited && !problem && !conflict && !saving;
  // biome-ignore lint/correctness/useExhaustiveDependencies: all but these are made anew at every draw.
  useEffect(() => {
    if (!behind) return;
    void reload().then((plan) => {
      if (
        !same(
          plan?.rigs.find(({ id }) => id === rigId),
          rig ?? undefined,
        )
      )
        props.refill();
    });
  }, [behind, newest]);
  // What was refused for another rig is not said of this one.
  const { forget } = editor;
  // biome-ignore lint/correctness/useExhaustiveDependencies: once, when this rig is opened.
  useEffect(() => forget(), []);
  const copy = async (fromRigId: string) => {
    if (await editor.copyEdits(fromRigId, rigId)) props.saved(rigId);
  };

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
          <EquipmentPart
            instead={<p className="soft">{t("app.loading")}</p>}
            rigId={rigId}
            kind={form.kind}
            focalLengthMm={typed.ok ? (typed.fields.focalLengthMm ?? null) : null}
            form={equipment}
            read={built}
            change={(next) => {
              setEquipment(next);
              setEdited(true);
            }}
            check={check}
          />
        )}
      </details>
      {rig && shown && (
        <CuePart
          rig={shown}
          work={work}
          setWork={(next) => {
            setWork(next);
            setEdited(true);
            editor.forget();
          }}
          wrong={wrongCue(editor.problem?.field, work.now.cues)}
          found={found}
          hands={assessment?.hands ?? NO_HANDS}
          budget={assessment?.budgets[rigId] ?? null}
          sought={sought}
          unread={setUnread}
          others={editor.base?.rigs.filter(({ id }) => id !== rigId) ?? []}
          copy={edited || editor.saving ? null : (fromRigId) => void copy(fromRigId)}
        />
      )}
      {!rig && <p className="soft">{t("lead.rig.cuesCome")}</p>}
      {!rig && !editor.problem && <RigFindings findings={found} />}
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
        {rig && !edited && (
          <Button action="another-rig" kind="quiet" onClick={() => props.another(rig)}>
            {t("lead.rig.another")}
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

/** What a rig's cue list hangs on, but for how long its focal length is: the rules look at that. */
const LIST_FOR = ["kind", "filter", "lookedThrough", "publicQueue", "unattended"] as const;

function listOf(rig: Rig): Pick<RigDraft, "cues" | "variants"> {
  return asWorkedAt(rig, draftOf(rig));
}

function formOf(rig: Rig | null, like: Rig | null, rigs: readonly Rig[]): RigForm {
  if (rig) return rigForm(rig);
  return like ? { ...rigForm(like), name: nextName(like.name, rigs) } : EMPTY_RIG_FORM;
}

/** What of a rig no field here shows: it stays as it is. */
function asPlanned(rig: Rig | null): Partial<Rig> {
  if (!rig) return {};
  const { cues: _cues, edits: _edits, variants: _variants, equipment: _equipment, ...fields } = rig;
  return fields;
}

/** The lists as they were worked at; a rig that never had variants has none. */
function asWorkedAt(rig: Rig, { cues, variants }: CueDraft): Pick<RigDraft, "cues" | "variants"> {
  const none = rig.variants === undefined && Object.keys(variants).length === 0;
  return { cues: [...cues], ...(!none && { variants }) };
}

/** The rig as far as what was typed can be read, for the usual list and the rules. */
function asShown(rig: Rig, typed: ReadRig, built: ReadEquipment, work: CueDraft): Rig {
  return {
    ...rig,
    ...(typed.ok ? typed.fields : {}),
    ...asWorkedAt(rig, work),
    cues: [...work.cues],
    ...(built.ok && built.equipment && { equipment: built.equipment }),
  };
}
