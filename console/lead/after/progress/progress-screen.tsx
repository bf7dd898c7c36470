/** Practice runs side by side: better or not, what is still slow, what to change in the plan. */
import { useCallback, useEffect, useState } from "react";
import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { ComparedRig, Comparison, HandsOffer } from "../../../../shared/review/compare.ts";
import type { Counts } from "../../../../shared/review/scores.ts";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { reviewedWords } from "../../../parts/words-for-reviewed.ts";
import "../../../words/bundles/debrief.ts";
import "../../../words/bundles/progress.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { Problem } from "../../shell/hub-api.ts";
import { useLead } from "../../shell/lead-context.ts";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { useOrders } from "../../shell/use-order.tsx";
import { whenText } from "../runs-list.ts";
import { RunsPlot } from "./runs-plot.tsx";
import "../../shell/sections.css";
import "./progress.css";

export function ProgressScreen() {
  const { api, view } = useLead();
  const [compared, setCompared] = useState<Comparison | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const read = useCallback(
    async (signal?: AbortSignal) => {
      const answer = await api.get<Comparison>("/api/review/practices", signal);
      if (signal?.aborted) return;
      setProblem(answer.ok ? null : answer.problem);
      if (answer.ok) setCompared(answer.value);
    },
    [api],
  );
  useEffect(() => {
    const gone = new AbortController();
    void read(gone.signal);
    return () => gone.abort();
  }, [read]);
  const zone = view.state?.plan.site?.zone ?? "";
  const rigs = view.state?.plan.rigs ?? [];
  return (
    <div className="progress sections" data-progress={true}>
      <header className="progress__head">
        <h1>{t("progress.title")}</h1>
        <div className="progress__actions">
          <Button action="print-progress" disabled={!compared} onClick={() => window.print()}>
            {t("lead.sheet.print")}
          </Button>
          <a className="button button--quiet" href="#record" data-action="all-runs">
            {t("debrief.allRuns")}
          </a>
        </div>
      </header>
      <ProblemLine problem={problem} />
      {!compared && !problem && <EmptyNote text={t("app.loading")} />}
      {compared && compared.runs.length === 0 && <EmptyNote text={t("progress.none")} />}
      {compared && compared.runs.length > 0 && (
        <>
          <RunsTable compared={compared} zone={zone} />
          <p className="soft">{t("progress.chart")}</p>
          {compared.rigs.map((rig) => (
            <RigProgress
              key={`${rig.rigId} ${rig.operator}`}
              rig={rig}
              planned={rigs.find(({ id }) => id === rig.rigId)}
              again={() => void read()}
            />
          ))}
        </>
      )}
    </div>
  );
}

function RunsTable({ compared, zone }: { compared: Comparison; zone: string }) {
  return (
    <table className="progress__runs">
      <thead>
        <tr>
          <th scope="col">{t("progress.run")}</th>
          <th scope="col">{t("progress.pace")}</th>
          <th scope="col">{t("progress.how")}</th>
          <th scope="col">{t("progress.allOn")}</th>
        </tr>
      </thead>
      <tbody>
        {compared.runs.map(({ runId, startedUtcMs, anchor, offsetS, rate, counts, allOnAfterC3S }, n) => (
          <tr key={runId} data-run={runId}>
            <td>
              <a href={`#record/${runId}`}>
                {n + 1} · <bdi>{whenText({ runId, startedUtcMs: startedUtcMs as never }, zone)}</bdi>
              </a>{" "}
              <span className="soft" dir="ltr">
                {anchor} {offsetS < 0 ? "−" : "+"}
                {Math.abs(offsetS)} s
              </span>
            </td>
            <td>{rate} ×</td>
            <td>{countsText(counts)}</td>
            <td>{allOnAfterC3S === null ? "–" : `${Math.round(allOnAfterC3S)} s`}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

interface RigProgressProps {
  rig: ComparedRig;
  planned: Rig | undefined;
  again: () => void;
}

function RigProgress({ rig, planned, again }: RigProgressProps) {
  const last = rig.runs.at(-1);
  const played = rig.runs.every((run) => run.played);
  const slow = rig.slow.map((cue) =>
    t("progress.slowCue", { cue: reviewedWords(planned, cue), late: cue.late, runs: cue.ofRuns }),
  );
  return (
    <section className="progress__rig" data-rig={rig.rigId} data-trend={rig.trend ?? "none"}>
      <h2>
        <bdi>{[rig.name, rig.operator].filter(Boolean).join(" · ")}</bdi>
        {played && <span className="soft"> ({t("progress.played")})</span>}
      </h2>
      <div dir="ltr">
        <RunsPlot rig={rig} />
      </div>
      <div className="progress__says">
        {rig.trend && (
          <p>
            <strong>{t(`progress.${rig.trend}`)}</strong>
          </p>
        )}
        {last && <p>{countsText(last.counts)}</p>}
        {slow.length > 0 && <p>{t("progress.slow", { cues: slow.join(", ") })}</p>}
        {planned && rig.hands.length > 0 && (
          <>
            <h3>{t("progress.hands")}</h3>
            {rig.hands.map((offer) => (
              <Offer key={offer.cueId} offer={offer} rig={planned} done={again} />
            ))}
          </>
        )}
      </div>
    </section>
  );
}

/** A time that hands were seen to need; one tap puts it into the plan, like any edit of a lead. */
function Offer({ offer, rig, done }: { offer: HandsOffer; rig: Rig; done: () => void }) {
  const { view } = useLead();
  const { give, waiting } = useOrders();
  const { cueId, plannedS, measuredS, ofRuns } = offer;
  const set = async () => {
    const mark = view.state && ownValue(view.state.planParts.rigs, rig.id);
    const cues = rig.cues.map((cue) => (cue.id === cueId ? { ...cue, handsS: measuredS } : cue));
    const taken = await give({ type: "saveRig", rig: { ...rig, cues }, ifRevision: mark?.revision ?? 0 });
    if (taken) done();
  };
  return (
    <p className="progress__offer" data-offer={cueId}>
      {t("progress.handsSay", {
        cue: reviewedWords(rig, offer),
        measured: measuredS,
        runs: ofRuns,
        planned: plannedS,
      })}{" "}
      <Button action="set-hands" disabled={waiting !== null} onClick={() => void set()}>
        {t("progress.handsSet", { s: measuredS })}
      </Button>
    </p>
  );
}

function countsText(counts: Counts): string {
  return t("progress.counts", {
    onTime: counts["on time"],
    early: counts.early,
    late: counts.late,
    missed: counts.missed,
  });
}
