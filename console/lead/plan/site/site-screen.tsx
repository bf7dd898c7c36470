/**
 * Which eclipse and where: the first thing a lead does, and the same screen when the whole site
 * moves at the last hour. What the place gets is shown before anything is saved.
 */
import { useState } from "react";
import type { Plan, PlanDraft } from "../../../../shared/plan/model/plan.ts";
import { readNumber } from "../../../forms/read-number.ts";
import { AlertLine } from "../../../parts/alert-line.tsx";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { late } from "../../../parts/late.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { problemText } from "../../shell/problem-text.ts";
import { goOn } from "../../shell/route.ts";
import { PlanAnswers } from "../plan-answers.tsx";
import { usePlanEditor } from "../use-plan-editor.ts";
import { EclipseChoice } from "./eclipse-choice.tsx";
import { PlaceFields } from "./place-fields.tsx";
import {
  placeProblem,
  readSite,
  type SiteForm,
  type SiteProblems,
  siteForm,
  typedPlace,
} from "./site-form.ts";
import { usePlace } from "./use-place.ts";
import { WhatPlaceGets } from "./what-place-gets.tsx";
import "./site-screen.css";

const SitePictures = late(async () => (await import("./pictures/site-pictures.tsx")).SitePictures);

const CandidatesPart = late(async () => (await import("./candidates/candidates-part.tsx")).CandidatesPart);

interface Draft {
  eclipse: string | null;
  form: SiteForm;
}

export function SiteScreen(props: { first: boolean }) {
  const editor = usePlanEditor();
  const { base } = editor;
  const [edited, setEdited] = useState<Draft | null>(null);
  const [problems, setProblems] = useState<SiteProblems>({});
  const [saved, setSaved] = useState(false);
  const draft: Draft = edited ?? { eclipse: base?.eclipse ?? null, form: siteForm(base?.site ?? null) };
  const place = typedPlace(draft.form);
  const answer = usePlace(draft.eclipse, place, readNumber(draft.form.placeBound));

  if (!base) return <EmptyNote text={editor.problem ? problemText(editor.problem) : t("app.loading")} />;

  const edit = (part: Partial<Draft>) => {
    setEdited({ ...draft, ...part });
    setProblems({});
    setSaved(false);
    editor.forget();
  };
  const typed = readSite({ ...draft.form, zone: answer.zone || draft.form.zone });
  const change = (plan: Plan): PlanDraft => ({
    ...plan,
    eclipse: draft.eclipse,
    site: typed.ok ? typed.site : plan.site,
  });
  const done = () => {
    setEdited(null);
    if (props.first) goOn({ screen: "site" }, "rigs");
    else setSaved(true);
  };
  const use = async () => {
    const read = readSite({ ...draft.form, zone: answer.zone });
    if (!read.ok) return setProblems(read.problems);
    if (await editor.save(change)) done();
  };
  const moved = async () => {
    setEdited(null);
    setSaved(false);
    await editor.reload();
  };
  const { lat, lon } = draft.form;
  const placed = lat.trim() !== "" && lon.trim() !== "";
  const ready = draft.eclipse !== null && placed;
  // Latitude and longitude are there, yet no place: the field that stands in the way is named.
  const inTheWay = placed && place === null ? placeProblem(draft.form) : null;
  return (
    <div className="site-screen">
      <div className="site-screen__form">
        <h1>{t(props.first ? "lead.site.titleFirst" : "lead.site.title")}</h1>
        {props.first && <p className="soft">{t("lead.site.firstSays")}</p>}
        <EclipseChoice chosen={draft.eclipse} choose={(eclipse) => edit({ eclipse })} />
        <PlaceFields
          form={draft.form}
          problems={problems}
          zone={answer.zone}
          change={(part) => edit({ form: { ...draft.form, ...part } })}
        />
        <PlanAnswers editor={editor} change={change} onReloaded={() => setEdited(null)} onSaved={done} />
        {base.site && !base.site.confirmed && (
          <div data-says="unconfirmed">
            <AlertLine priority="caution" title={t("lead.site.unconfirmed")} />
          </div>
        )}
        <div className="site-screen__save">
          <Button
            action="use-place"
            kind="main"
            disabled={!ready || editor.saving}
            onClick={() => void use()}
          >
            {t("lead.site.use")}
          </Button>
          {saved && editor.savedRevision !== null && (
            <span role="status" data-saved={editor.savedRevision}>
              {t("lead.site.saved", { revision: editor.savedRevision })}
            </span>
          )}
          {edited && !props.first && (
            <Button action="drop-edits" kind="quiet" onClick={() => setEdited(null)}>
              {t("lead.site.drop")}
            </Button>
          )}
        </div>
      </div>
      <div className="site-screen__gets">
        <h2>{t("lead.place.title")}</h2>
        {answer.circumstances ? (
          <WhatPlaceGets circumstances={answer.circumstances} zone={answer.zone} asking={answer.asking} />
        ) : (
          <EmptyNote
            text={
              answer.problem
                ? problemText(answer.problem)
                : answer.asking
                  ? t("app.loading")
                  : draft.eclipse === null
                    ? t("lead.place.needEclipse")
                    : t(inTheWay?.key ?? "lead.place.needPlace", inTheWay?.values)
            }
          />
        )}
        {answer.circumstances && place && draft.eclipse && (
          <SitePictures
            instead={<EmptyNote text={t("app.loading")} />}
            circumstances={answer.circumstances}
            eclipse={draft.eclipse}
            place={place}
            zone={answer.zone}
            skyline={draft.form.skyline}
          />
        )}
      </div>
      {!props.first && (
        <CandidatesPart
          instead={<EmptyNote text={t("app.loading")} />}
          plan={base}
          typed={typed.ok ? typed.site : null}
          onMoved={() => void moved()}
        />
      )}
    </div>
  );
}
