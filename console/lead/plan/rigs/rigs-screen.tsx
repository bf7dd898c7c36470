/** The rigs of the site: add, rename, remove, and what each is and does. */
import { useEffect, useState } from "react";
import type { AssessedFinding } from "../../../../shared/plan/assess/assess-plan.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import { late } from "../../../parts/late.tsx";
import { t } from "../../../words/words.ts";
import { useLead } from "../../shell/lead-context.ts";
import { problemText } from "../../shell/problem-text.ts";
import { goOn } from "../../shell/route.ts";
import { findingsOfRig } from "../check/finding-words.ts";
import { RigFindings } from "../check/rig-findings.tsx";
import { usePlanCheck } from "../check/use-plan-check.ts";
import { usePlanEditor } from "../use-plan-editor.ts";
import { RigEditor } from "./rig-editor.tsx";
import "./rigs-screen.css";

const NEW = "new";

const PlanFilePart = late(async () => (await import("../file/plan-file-part.tsx")).PlanFilePart);
const FieldPart = late(async () => (await import("../field/field-part.tsx")).FieldPart);
const HandsPart = late(async () => (await import("../hands/hands-part.tsx")).HandsPart);

export function RigsScreen(props: { item: string | null }) {
  const editor = usePlanEditor();
  const { base } = editor;
  // Raised when the fields are to be filled anew from the plan.
  const [filled, setFilled] = useState(0);
  /** The rig that was just saved. */
  const [saved, setSaved] = useState<string | null>(null);
  /** The rig that a new one is to be like. */
  const [like, setLike] = useState<Rig | null>(null);
  const { item } = props;
  const open = base?.rigs.find((rig) => rig.id === item) ?? null;
  const adding = item === NEW || base?.rigs.length === 0;
  // An open rig is looked at by its editor, with what was typed there.
  const check = usePlanCheck(open || adding ? null : base);
  // With no rig open nothing is typed that another lead's save could take away: the newest plan is shown.
  const newest = useLead().view.state?.plan.revision ?? 0;
  const { reload, problem, conflict, saving } = editor;
  const behind =
    base !== null && newest > base.revision && !open && item === null && !problem && !conflict && !saving;
  // biome-ignore lint/correctness/useExhaustiveDependencies: reload is made anew at every draw.
  useEffect(() => {
    if (behind) void reload();
  }, [behind, newest]);
  if (!base) return <EmptyNote text={editor.problem ? problemText(editor.problem) : t("app.loading")} />;
  return (
    <div className="rigs-screen" data-open={open !== null || item === NEW}>
      <div className="rigs-screen__list">
        <h1>{t("lead.rigs.title")}</h1>
        {base.rigs.length === 0 && <p className="soft">{t("lead.rigs.none")}</p>}
        <ul className="rig-list">
          {base.rigs.map((rig) => (
            <RigItem
              key={rig.id}
              rig={rig}
              open={rig.id === open?.id}
              findings={open ? [] : findingsOfRig(check.assessment?.findings ?? [], rig.id)}
            />
          ))}
        </ul>
        <div className="rigs-screen__actions">
          <a className="button" href={`#rigs/${NEW}`} data-action="add-rig" onClick={() => setLike(null)}>
            {t("lead.rigs.add")}
          </a>
          {base.rigs.length > 0 && (
            <>
              <a className="button" href="#join-sheet" data-action="join-sheet">
                {t("lead.rigs.joinSheet")}
              </a>
              <a className="button" href="#crowd" data-action="crowd">
                {t("lead.crowd.open")}
              </a>
              <a className="button" href="#cue-sheets" data-action="cue-sheets">
                {t("lead.rigs.cueSheets")}
              </a>
            </>
          )}
        </div>
      </div>
      <div className="rigs-screen__editor">
        <a className="button button--quiet rigs-screen__back" href="#rigs" data-action="all-rigs">
          {t("lead.rigs.all")}
        </a>
        {open || adding ? (
          <RigEditor
            key={`${open?.id ?? `${NEW} ${like?.id ?? ""}`}-${filled}`}
            rig={adding && !open ? null : open}
            like={open ? null : like}
            editor={editor}
            savedAs={saved === open?.id && editor.savedRevision === base.revision ? base.revision : null}
            refill={() => setFilled(filled + 1)}
            saved={(rigId) => {
              setFilled(filled + 1);
              setSaved(rigId);
              goOn({ screen: "rigs", item }, "rigs", rigId);
            }}
            removed={() => goOn({ screen: "rigs", item }, "rigs")}
            another={(one) => {
              setLike(one);
              goOn({ screen: "rigs", item }, "rigs", NEW);
            }}
          />
        ) : (
          <>
            <p className="soft">{t("lead.rigs.choose")}</p>
            <HandsPart
              instead={<EmptyNote text={t("app.loading")} />}
              plan={base}
              editor={editor}
              check={check}
            />
            <FieldPart plan={base} editor={editor} />
            <PlanFilePart plan={base} />
          </>
        )}
      </div>
    </div>
  );
}

function RigItem(props: { rig: Rig; open: boolean; findings: readonly AssessedFinding[] }) {
  const { rig, open, findings } = props;
  return (
    <li>
      <a
        className="rig-list__link"
        href={`#rigs/${rig.id}`}
        data-action="edit-rig"
        data-edit-rig={rig.id}
        {...(open ? { "aria-current": "true" as const } : {})}
      >
        <strong>{rig.name}</strong>
        <small>{[t(`rigKind.${rig.kind}`), rig.operator].filter(Boolean).join(" · ")}</small>
        {rig.filter === "none by design" && <FilterMark state="none by design" />}
      </a>
      <RigFindings findings={findings} />
    </li>
  );
}
