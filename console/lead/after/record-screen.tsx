/** What is kept: the log for the debrief, and the whole site as one file to carry to another laptop. */
import { type ChangeEvent, useId, useState } from "react";
import type { RunRecord } from "../../../shared/run/state.ts";
import { HoldButton } from "../../parts/hold-button.tsx";
import { t } from "../../words/words.ts";
import { Button } from "../shell/button.tsx";
import type { Problem } from "../shell/hub-api.ts";
import { useLead } from "../shell/lead-context.ts";
import { ProblemLine } from "../shell/problem-line.tsx";
import { saveFile } from "../shell/save-file.ts";
import { listedRuns, whenText } from "./runs-list.ts";
import "../../words/bundles/debrief.ts";
import "../shell/sections.css";
import "./record-screen.css";

export function RecordScreen() {
  const { api, view } = useLead();
  const [problem, setProblem] = useState<Problem | null>(null);
  const [busy, setBusy] = useState<string | null>(null);
  const runs = listedRuns(Object.values(view.state?.runs ?? {}));
  const zone = view.state?.plan.site?.zone ?? "";

  async function download(path: string, name: string) {
    setBusy(path);
    const answer = await api.file(path);
    setBusy(null);
    setProblem(answer.ok ? null : answer.problem);
    if (answer.ok) saveFile(answer.value.blob, answer.value.name.includes(".") ? answer.value.name : name);
  }
  const log = (run: string | null) => (
    <span className="record-screen__row">
      {(["json", "csv"] as const).map((form) => {
        const path = `/api/log.${form}${run ? `?${new URLSearchParams({ run })}` : ""}`;
        return (
          <Button
            key={form}
            action={`log-${form}`}
            disabled={busy === path}
            onClick={() => void download(path, `noonfall-log${run ? `-${run}` : ""}.${form}`)}
          >
            {t(`lead.record.${form}`)}
          </Button>
        );
      })}
    </span>
  );

  return (
    <div className="sections">
      <h1>{t("lead.record.title")}</h1>
      <ProblemLine problem={problem} />
      <section>
        <h2>{t("lead.record.log")}</h2>
        <p className="soft">{t("lead.record.logSays")}</p>
        <a className="button" href="#record/practices" data-action="compare-runs">
          {t("debrief.compare")}
        </a>
        <dl className="record-screen__runs">
          <div>
            <dt>{t("lead.record.allRuns")}</dt>
            <dd>{log(null)}</dd>
          </div>
          {runs.map((run) => (
            <div key={run.runId} data-run={run.runId}>
              <dt>
                {t(run.kind === "real" ? "lead.record.real" : "lead.record.practice")}
                <WhenOf run={run} zone={zone} />
              </dt>
              <dd className="record-screen__row">
                <a className="button" href={`#record/${run.runId}`} data-action="debrief">
                  {t("debrief.open")}
                </a>
                {log(run.runId)}
              </dd>
            </div>
          ))}
        </dl>
      </section>
      <section>
        <h2>{t("lead.record.evening")}</h2>
        <p className="soft">{t("lead.record.eveningSays")}</p>
        <a className="button" href="#camera-clocks" data-action="camera-clocks">
          {t("lead.nav.camera-clocks")}
        </a>
        <a className="button" href="#images" data-action="images">
          {t("lead.nav.images")}
        </a>
      </section>
      <section>
        <h2>{t("lead.record.site")}</h2>
        <p className="soft">{t("lead.record.siteSays")}</p>
        <Button
          action="download-site"
          disabled={busy === "/api/site"}
          onClick={() => void download("/api/site", "noonfall-site.json")}
        >
          {t("lead.record.download")}
        </Button>
        <Restore />
      </section>
    </div>
  );
}

/** When a run is: the eclipse's day, or the moment at which the practice was started. */
function WhenOf(props: { run: RunRecord; zone: string }) {
  const when = whenText(props.run, props.zone);
  return when === null ? null : (
    <>
      {" · "}
      <bdi>{when}</bdi>
    </>
  );
}

/** Puts a site file in place of what this hub holds: chosen first, then held for a second. */
function Restore() {
  const id = useId();
  const { api, restoring } = useLead();
  const [file, setFile] = useState<File | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [done, setDone] = useState(false);

  async function restore(chosen: File) {
    setDone(false);
    const answer = await api.upload("/api/site", chosen);
    setProblem(answer.ok ? null : answer.problem);
    setDone(answer.ok);
    if (!answer.ok) return;
    setFile(null);
    restoring();
  }
  return (
    <div className="restore">
      <label htmlFor={id}>{t("lead.record.restore")}</label>
      <input
        id={id}
        name="site-file"
        type="file"
        className="field"
        onChange={(event: ChangeEvent<HTMLInputElement>) => {
          setFile(event.target.files?.[0] ?? null);
          setProblem(null);
          setDone(false);
        }}
      />
      {file && (
        <div className="sections__hold" data-action="restore-site">
          <HoldButton
            tone="danger"
            label={t("lead.record.restoreDo", { name: file.name })}
            hint={t("lead.record.restoreHint")}
            onHeld={() => void restore(file)}
          />
        </div>
      )}
      <ProblemLine problem={problem} />
      {done && <p role="status">{t("lead.record.restored")}</p>}
    </div>
  );
}
