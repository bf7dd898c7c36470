/**
 * The plan as a file: out as JSON, as a table for spreadsheets and as a calendar; and a file put in
 * the plan's place, which the hub looks at first and saves only when a lead says so.
 */
import "../../../words/bundles/planner.ts";
import Papa from "papaparse";
import { useId, useState } from "react";
import type { Assessment } from "../../../../shared/plan/assess/assess-plan.ts";
import { cueDueMs } from "../../../../shared/plan/cue-times.ts";
import { planTable } from "../../../../shared/plan/exchange/plan-table.ts";
import { localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { Plan, PlanDraft } from "../../../../shared/plan/model/plan.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { Problem } from "../../shell/hub-api.ts";
import { useLead } from "../../shell/lead-context.ts";
import { problemText } from "../../shell/problem-text.ts";
import { saveFile } from "../../shell/save-file.ts";
import { RigFindings } from "../check/rig-findings.tsx";
import { placeInTable } from "./place-in-table.ts";
import { planCalendar } from "./plan-calendar.ts";
import { readPlanFile } from "./read-plan-file.ts";
import "./plan-file-part.css";

interface Chosen {
  name: string;
  draft: PlanDraft;
  assessment: Assessment;
}

export function PlanFilePart({ plan }: { plan: Plan }) {
  const { api, session, view } = useLead();
  const id = useId();
  const [chosen, setChosen] = useState<Chosen | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [saved, setSaved] = useState(false);
  const times = localEclipse(view.state?.circumstances ?? null).contacts;
  const give = (text: string, type: string, ending: string) =>
    saveFile(new Blob([text], { type }), `noonfall-plan-${plan.revision}.${ending}`);

  const csv = () => {
    const { columns, rows } = planTable(plan, (rigId, cueId) => {
      const cue = plan.rigs.find((rig) => rig.id === rigId)?.cues.find((one) => one.id === cueId);
      const dueMs = cue ? cueDueMs(cue, times) : null;
      return dueMs === null ? "" : new Date(dueMs).toISOString();
    });
    return Papa.unparse([columns, ...rows], { newline: "\r\n" });
  };

  const choose = async (file: File | undefined) => {
    setChosen(null);
    setWrong(null);
    setSaved(false);
    if (!file) return;
    const read = readPlanFile(await file.text());
    if (!read.ok) return setWrong(read.fault ? t("file.fault", { ...read.fault }) : t("file.unreadable"));
    const answer = await api.send<Assessment>("POST", "/api/plan/check", read.draft);
    if (answer.ok)
      return setChosen({ name: file.name, draft: read.draft as PlanDraft, assessment: answer.value });
    const { field, message } = answer.problem;
    const place = field && read.table ? placeInTable(read.table, field) : null;
    setWrong(place ? t("file.fault", { ...place, message }) : problemWith(answer.problem));
  };

  const put = async ({ draft }: Chosen) => {
    const answer = await api.send("PUT", "/api/plan", draft, { "If-Match": `"plan-${plan.revision}"` });
    setSaved(answer.ok);
    setWrong(answer.ok ? null : problemWith(answer.problem));
    if (answer.ok) setChosen(null);
  };

  return (
    <section className="plan-file" data-part="file">
      <h2>{t("file.title")}</h2>
      <div className="plan-file__actions">
        <Button
          action="plan-json"
          onClick={() => give(`${JSON.stringify(plan, null, 2)}\n`, "application/json", "json")}
        >
          {t("file.json")}
        </Button>
        <Button action="plan-csv" onClick={() => give(csv(), "text/csv", "csv")}>
          {t("file.csv")}
        </Button>
        <Button
          action="plan-calendar"
          onClick={() => give(planCalendar(plan, times, session.now()), "text/calendar", "ics")}
        >
          {t("file.calendar")}
        </Button>
      </div>
      <div className="labelled">
        <label htmlFor={id}>{t("file.choose")}</label>
        <input
          id={id}
          name="plan-file"
          type="file"
          accept=".json,.csv,application/json,text/csv"
          onChange={(event) => void choose(event.target.files?.[0])}
        />
      </div>
      {wrong !== null && (
        <p className="says says--wrong" role="alert" data-file-wrong>
          {wrong}
        </p>
      )}
      {saved && (
        <p role="status" data-file-saved>
          {t("file.saved")}
        </p>
      )}
      {chosen && (
        <div className="plan-file__chosen" data-file-chosen>
          <p>
            {t("file.holds", {
              name: chosen.name,
              rigs: chosen.draft.rigs?.length ?? 0,
              place: chosen.draft.site?.name ?? "—",
            })}
          </p>
          <RigFindings
            findings={chosen.assessment.findings.filter(({ severity }) => severity !== "advice")}
          />
          <Button action="put-plan-file" kind="main" onClick={() => void put(chosen)}>
            {t("file.put", { revision: plan.revision })}
          </Button>
        </div>
      )}
    </section>
  );
}

/** What the hub found wrong, and with which field. */
function problemWith(problem: Problem): string {
  return [problemText(problem), problem.field].filter(Boolean).join(" · ");
}
