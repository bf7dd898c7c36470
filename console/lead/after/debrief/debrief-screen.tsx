/** One run on one page: what happened against the plan, to be read together, printed and compared. */
import { useEffect, useState } from "react";
import "../../../words/bundles/debrief.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { Review, ReviewedCue } from "../../../../shared/review/review.ts";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { clockText } from "../../../parts/time-format.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { offText, reviewedWords } from "../../../parts/words-for-reviewed.ts";
import { t } from "../../../words/words.ts";
import { alertText } from "../../shell/alerts/alert-text.ts";
import { Button } from "../../shell/button.tsx";
import { faultName, struckText } from "../../shell/fault-words.ts";
import type { Problem } from "../../shell/hub-api.ts";
import { useLead } from "../../shell/lead-context.ts";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { saveFromHub } from "../../shell/save-file.ts";
import { listedRuns, whenText } from "../runs-list.ts";
import { debriefFacts } from "./debrief-facts.ts";
import { RunChart } from "./run-chart.tsx";
import "../../shell/sections.css";
import "./debrief.css";

const SHOWN_ALERTS = 5;

export function DebriefScreen({ runId }: { runId: string }) {
  const { api, view } = useLead();
  const [review, setReview] = useState<Review | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const runs = listedRuns(Object.values(view.state?.runs ?? {}));
  const run = runs.find((one) => one.runId === runId);
  const zone = view.state?.plan.site?.zone ?? "";

  useEffect(() => {
    const gone = new AbortController();
    setReview(null);
    setProblem(null);
    void api.get<Review>(`/api/review?${new URLSearchParams({ run: runId })}`, gone.signal).then((answer) => {
      if (gone.signal.aborted) return;
      if (answer.ok) setReview(answer.value);
      else setProblem(answer.problem);
    });
    return () => gone.abort();
  }, [api, runId]);

  async function table() {
    setProblem(await saveFromHub(api, `/api/review.csv?${new URLSearchParams({ run: runId })}`));
  }
  const when = run ? whenText(run, zone) : null;
  return (
    <div className="debrief" data-run={runId}>
      <header className="debrief__head">
        <h1>
          {t(run?.kind === "real" ? "debrief.titleReal" : "debrief.titlePractice")}
          {when && (
            <>
              {" · "}
              <bdi>{when}</bdi>
            </>
          )}
        </h1>
        <div className="debrief__actions">
          <Button action="print-debrief" disabled={!review} onClick={() => window.print()}>
            {t("lead.sheet.print")}
          </Button>
          <Button action="debrief-csv" disabled={!review} onClick={() => void table()}>
            {t("debrief.table")}
          </Button>
          <a className="button button--quiet" href="#record/practices" data-action="compare-runs">
            {t("debrief.compare")}
          </a>
          <a className="button button--quiet" href="#record" data-action="all-runs">
            {t("debrief.allRuns")}
          </a>
        </div>
      </header>
      <ProblemLine problem={problem} />
      {!review && !problem && <EmptyNote text={t("app.loading")} />}
      {review && <Debriefed review={review} rigs={view.state?.plan.rigs ?? []} />}
    </div>
  );
}

function Debriefed({ review, rigs }: { review: Review; rigs: readonly Rig[] }) {
  return (
    <>
      <ul className="debrief__sentences">
        {sentences(review).map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ul>
      <RunChart review={review} />
      {review.calls.length > 0 && (
        <section>
          <h2>{t("debrief.calls")}</h2>
          <ul className="debrief__calls">
            {review.calls.map((call) => (
              <li key={`${call.call}${call.atRunMs}`}>{callText(call)}</li>
            ))}
          </ul>
        </section>
      )}
      {review.alerts.longest.length > 0 && (
        <section>
          <h2>{t("debrief.alerts")}</h2>
          <ul className="debrief__calls">
            {review.alerts.longest.slice(0, SHOWN_ALERTS).map((one, at) => (
              // biome-ignore lint/suspicious/noArrayIndexKey: the list never changes its order.
              <li key={at}>{stoodText(one, review)}</li>
            ))}
          </ul>
        </section>
      )}
      {review.alerts.byRig.length > 0 && (
        <section>
          <h2>{t("debrief.needed")}</h2>
          <ul className="debrief__calls">
            {review.alerts.byRig.map(({ rigId, raised, stoodS }) => (
              <li key={rigId}>
                {t("debrief.neededAt", {
                  rig: rigNames(review)(rigId),
                  count: raised,
                  time: lengthWords(Math.round(stoodS)),
                })}
              </li>
            ))}
          </ul>
        </section>
      )}
      {review.frames.length > 0 && (
        <section data-frames={review.frames.length}>
          <h2>{t("debrief.frames")}</h2>
          <ul className="debrief__calls">
            {review.frames.map((one) => (
              <li key={one.rigId} data-rig={one.rigId} data-without={one.without.length}>
                {framesText(one, review, rigs)}
              </li>
            ))}
          </ul>
        </section>
      )}
      {review.faults.length > 0 && (
        <section data-faults={review.faults.length}>
          <h2>{t("debrief.faults")}</h2>
          <ul className="debrief__calls">
            {review.faults.map(({ kind, rigIds, atRunMs }) => (
              <li key={`${kind}${atRunMs}`}>
                {t("debrief.fault", {
                  what: faultName(kind),
                  who: struckText(rigIds, review.rigs),
                  at: clockText(atRunMs),
                })}
              </li>
            ))}
          </ul>
        </section>
      )}
      <section>
        <h2>{t("debrief.clock")}</h2>
        <p>
          {review.timingBoundS !== null &&
            `${t("debrief.clockBound", { s: review.timingBoundS.toFixed(1) })} `}
          {review.clockNotes.length === 0
            ? t("debrief.clockQuiet")
            : t("debrief.clockNotes", { count: review.clockNotes.length })}
        </p>
      </section>
      {review.rigs.map(({ id, name, operator }) => {
        const cues = review.cues.filter(({ rigId }) => rigId === id);
        const planned = rigs.find((rig) => rig.id === id);
        if (cues.length === 0) return null;
        return (
          <section key={id} data-rig={id}>
            <h2>
              <bdi>{[name, operator].filter(Boolean).join(" · ")}</bdi>
              {review.played.includes(id) && ` (${t("debrief.playedBy")})`}
            </h2>
            <table className="debrief__cues">
              <thead>
                <tr>
                  <th scope="col">{t("debrief.cue")}</th>
                  <th scope="col">{t("debrief.due")}</th>
                  <th scope="col">{t("debrief.done")}</th>
                  <th scope="col">{t("debrief.how")}</th>
                </tr>
              </thead>
              <tbody>
                {cues.map((cue) => (
                  <tr key={cue.cueId} data-cue={cue.cueId} data-score={cue.score}>
                    <td>{reviewedWords(planned, cue)}</td>
                    <td dir="ltr">{clockText(cue.dueRunMs)}</td>
                    <td dir="ltr">{cue.doneRunMs === null ? "–" : clockText(cue.doneRunMs)}</td>
                    <td>{scoreText(cue)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </section>
        );
      })}
      <p className="soft">{t("debrief.means")}</p>
    </>
  );
}

function framesText(
  { rigId, count, without }: Review["frames"][number],
  review: Review,
  rigs: readonly Rig[],
): string {
  const said = t("debrief.framesOf", { rig: rigNames(review)(rigId), count });
  if (without.length === 0) return said;
  const planned = rigs.find(({ id }) => id === rigId);
  const cues = without.map((one) => `${reviewedWords(planned, one)} ${clockText(one.dueRunMs)}`);
  return `${said} ${t("debrief.framesWithout", { cues: cues.join(", ") })}`;
}

function rigNames({ rigs }: Review): (rigId: string) => string {
  return (rigId) => rigs.find(({ id }) => id === rigId)?.name ?? rigId;
}

function sentences(review: Review): string[] {
  const { cues, filters, alerts } = debriefFacts(review);
  const said = [
    cues.all === 0
      ? t("debrief.noCues")
      : t("debrief.cuesSay", {
          all: cues.all,
          onTime: cues["on time"],
          early: cues.early,
          late: cues.late,
          missed: cues.missed,
        }),
  ];
  if (filters.kind === "none came off") said.push(t("debrief.noFilter"));
  if (filters.kind === "all closed") said.push(t("debrief.filtersClosed", { s: filters.withinS }));
  if (filters.kind === "open longest")
    said.push(t("debrief.filterLongest", { rig: filters.rig, s: filters.s }));
  if (filters.kind === "still off") said.push(t("debrief.filterStillOff", { rigs: filters.rigs.join(", ") }));
  said.push(
    alerts.raised === 0
      ? t("debrief.noAlerts")
      : t("debrief.alertsSay", { count: alerts.raised, most: alerts.mostInTenMinutes }),
  );
  return said;
}

function stoodText({ cause, rigId, stoodS }: Review["alerts"]["longest"][number], review: Review): string {
  const rig = review.rigs.find(({ id }) => id === rigId)?.name ?? "";
  return t("debrief.alertStood", {
    what: alertText(cause, rig),
    time: lengthWords(Math.round(stoodS)),
  });
}

function callText({ call, by, atRunMs, predictedRunMs, takenBack }: Review["calls"][number]): string {
  const name = call === "totality" ? "totality" : call === "sun returns" ? "sunReturns" : "stayFiltered";
  const words = {
    call: t(`lead.call.${name}`),
    who: by.replace(/^lead:/, ""),
    at: clockText(atRunMs),
    by: predictedRunMs === null ? "" : offText(atRunMs - predictedRunMs),
  };
  const said = predictedRunMs === null ? t("debrief.call", words) : t("debrief.callOff", words);
  return takenBack ? `${said} ${t("debrief.callTakenBack")}` : said;
}

function scoreText({ score, why, doneRunMs, dueRunMs }: ReviewedCue): string {
  if (score === "missed")
    return t(
      why === "skipped" ? "debrief.skipped" : why === "taken back" ? "debrief.takenBack" : "debrief.missed",
    );
  const by = offText((doneRunMs ?? dueRunMs) - dueRunMs);
  return t(score === "on time" ? "debrief.onTime" : score === "late" ? "debrief.late" : "debrief.early", {
    by,
  });
}
