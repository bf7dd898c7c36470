/** Practice runs side by side: better or not, what is still slow, what to change in the plan. */
import { useCallback, useEffect, useState } from "react";
import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { ComparedRig, Comparison, HandsOffer } from "../../../../shared/review/compare.ts";
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
import { runRows } from "./run-rows.ts";
import { PlotLegend, RunsPlot } from "./runs-plot.tsx";
import { countsText, RunsTable } from "./runs-table.tsx";
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
          <RunsTable rows={runRows(compared, zone)} />
          <PlotLegend />
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
