/** One run on one page: what happened against the plan, to be read together, printed and compared. */
import { useEffect, useState } from "react";
import "../../../words/bundles/debrief.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { Review } from "../../../../shared/review/review.ts";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { Problem } from "../../shell/hub-api.ts";
import { useLead } from "../../shell/lead-context.ts";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { saveFromHub } from "../../shell/save-file.ts";
import { whenText } from "../runs-list.ts";
import { debriefSentences } from "./debrief-sentences.ts";
import { EarlierRuns } from "./earlier-runs.tsx";
import { RigCues } from "./rig-cues.tsx";
import { RigOverview } from "./rig-overview.tsx";
import { rigRows } from "./rig-rows.ts";
import { RunChart } from "./run-chart.tsx";
import { RunFacts } from "./run-facts.tsx";
import "../../shell/sections.css";
import "./debrief.css";

/** With more rigs than these only those are unfolded that missed something or were late. */
const UNFOLDED = 8;

export function DebriefScreen({ runId }: { runId: string }) {
  const { api, view } = useLead();
  const [review, setReview] = useState<Review | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [asked, setAsked] = useState(0);
  const zone = view.state?.plan.site?.zone ?? "";

  // biome-ignore lint/correctness/useExhaustiveDependencies: `asked` asks again for what goes on.
  useEffect(() => {
    const gone = new AbortController();
    setProblem(null);
    setReview((known) => (known?.runId === runId ? known : null));
    void api.get<Review>(`/api/review?${new URLSearchParams({ run: runId })}`, gone.signal).then((answer) => {
      if (gone.signal.aborted) return;
      if (answer.ok) setReview(answer.value);
      else setProblem(answer.problem);
    });
    return () => gone.abort();
  }, [api, runId, asked]);

  async function table() {
    setProblem(await saveFromHub(api, `/api/review.csv?${new URLSearchParams({ run: runId })}`));
  }
  const startedUtcMs = (review?.practice?.startedUtcMs ?? null) as never;
  const when = review && whenText({ runId, startedUtcMs }, zone);
  return (
    <div className="debrief" data-run={runId}>
      <header className="debrief__head">
        <h1>
          {t(
            (review?.kind ?? (runId.startsWith("real-") ? "real" : "practice")) === "real"
              ? "debrief.titleReal"
              : "debrief.titlePractice",
          )}
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
      {review?.goesOn && (
        <p className="debrief__goes-on" data-goes-on={true}>
          {t("debrief.goesOn", { at: clockText(review.untilRunMs) })}{" "}
          <Button action="debrief-again" onClick={() => setAsked(asked + 1)}>
            {t("debrief.again")}
          </Button>
        </p>
      )}
      {review && <Debriefed review={review} rigs={view.state?.plan.rigs ?? []} when={when} />}
    </div>
  );
}

function Debriefed({ review, rigs, when }: { review: Review; rigs: readonly Rig[]; when: string | null }) {
  const rows = rigRows(review);
  return (
    <>
      <ul className="debrief__sentences">
        {debriefSentences(review).map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ul>
      {rows.length > 0 && <RigOverview rows={rows} />}
      <RunChart review={review} rigs={rows} />
      <RunFacts review={review} rows={rows} rigs={rigs} />
      <EarlierRuns review={review} when={when} />
      <div className="debrief__by-rig">
        {rows.map((row) => {
          const cues = review.cues.filter(({ rigId }) => rigId === row.id);
          if (cues.length === 0) return null;
          const trouble = row.counts.late + row.counts.missed > 0;
          return (
            <RigCues
              key={row.id}
              row={row}
              cues={cues}
              planned={rigs.find((rig) => rig.id === row.id)}
              open={rows.length <= UNFOLDED || trouble}
            />
          );
        })}
      </div>
      <p className="soft">{t("debrief.means")}</p>
    </>
  );
}
