/**
 * One rig's practice runs as columns, oldest first: from the foot what was on time, early, late and not
 * confirmed, each with a pattern of its own so that it can be read on paper; over it, in seconds, how long
 * after C3 the filter was on again (0:00: by C3). Below, on a line from run to run, how long after their time cues were
 * confirmed: a simulated operator's runs stand beside it. Time runs left to right in every language.
 */
import type { ComparedRig, RigRun } from "../../../../shared/review/compare.ts";
import type { Score } from "../../../../shared/review/scores.ts";
import { spanText } from "../../../parts/words-for-reviewed.ts";
import { t } from "../../../words/words.ts";

const STACK: readonly Score[] = ["on time", "early", "late", "missed"];
const COLUMN_PX = 34;
const HEIGHT_PX = 84;
const HEAD_PX = 16;
const FOOT_PX = 18;
/** The line of lateness: its room, and what it takes at least for its whole height, s. */
const LINE_PX = 40;
const LINE_GAP_PX = 18;
const LINE_LEAST_S = 5;
const WORDS = {
  "on time": "progress.onTime",
  early: "progress.early",
  late: "progress.late",
  missed: "progress.missed",
} as const;
/** The newest so many are drawn. */
const SHOWN = 12;

export function RunsPlot({ rig }: { rig: ComparedRig }) {
  const runs = rig.runs.slice(-SHOWN);
  const most = Math.max(1, ...runs.map(sum));
  const width = runs.length * COLUMN_PX;
  return (
    <svg
      className="runs-plot"
      width={width}
      height={HEAD_PX + HEIGHT_PX + FOOT_PX + LINE_GAP_PX + LINE_PX}
      role="img"
      aria-label={t("progress.chartOf", { rig: rig.name, runs: runs.length })}
    >
      {runs.map((run, column) => {
        let top = HEAD_PX + HEIGHT_PX;
        const x = column * COLUMN_PX + 4;
        return (
          <g key={run.runId} data-run={run.runId} data-played={run.played}>
            {STACK.map((score) => {
              const height = (HEIGHT_PX * run.counts[score]) / most;
              top -= height;
              return (
                <rect
                  key={score}
                  className="runs-plot__part"
                  data-score={score}
                  x={x}
                  y={top}
                  width={COLUMN_PX - 8}
                  height={height}
                />
              );
            })}
            {run.closedAfterC3S !== null && (
              <text className="runs-plot__s" x={x + (COLUMN_PX - 8) / 2} y={top - 4} textAnchor="middle">
                {spanText(Math.max(0, run.closedAfterC3S))}
              </text>
            )}
            <text
              className="runs-plot__n"
              x={x + (COLUMN_PX - 8) / 2}
              y={HEAD_PX + HEIGHT_PX + 14}
              textAnchor="middle"
            >
              {rig.runs.length - runs.length + column + 1}
            </text>
          </g>
        );
      })}
      <line x1={0} x2={width} y1={HEAD_PX + HEIGHT_PX} y2={HEAD_PX + HEIGHT_PX} className="runs-plot__axis" />
      <Lateness runs={runs} width={width} />
    </svg>
  );
}

/** Later is higher; the axis is a cue's own time. */
function Lateness({ runs, width }: { runs: readonly RigRun[]; width: number }) {
  const most = Math.max(LINE_LEAST_S, ...runs.map(({ latenessS }) => Math.abs(latenessS ?? 0)));
  const below = runs.some(({ latenessS }) => latenessS !== null && latenessS < 0);
  const top = HEAD_PX + HEIGHT_PX + FOOT_PX + LINE_GAP_PX;
  const axis = top + (below ? LINE_PX / 2 : LINE_PX);
  const perS = (below ? LINE_PX / 2 : LINE_PX) / most;
  const dots = runs.flatMap(({ runId, latenessS, played }, column) =>
    latenessS === null
      ? []
      : [{ runId, played, latenessS, x: (column + 0.5) * COLUMN_PX, y: axis - latenessS * perS }],
  );
  if (dots.length === 0) return null;
  return (
    <g className="runs-plot__lateness" data-lateness={true}>
      <line x1={0} x2={width} y1={axis} y2={axis} className="runs-plot__axis" />
      <polyline
        points={dots
          .filter(({ played }) => !played)
          .map(({ x, y }) => `${x},${y}`)
          .join(" ")}
      />
      {dots.map(({ runId, played, latenessS, x, y }) => (
        <g key={runId} data-run={runId} data-played={played}>
          <circle cx={x} cy={y} r={3} />
          <text x={x} y={y - 6} textAnchor="middle">
            {`${latenessS < 0 ? "−" : "+"}${Math.abs(Math.round(latenessS))} s`}
          </text>
        </g>
      ))}
    </g>
  );
}

/** What the patterns and the figures are. */
export function PlotLegend() {
  return (
    <div className="runs-plot__legend soft">
      <p className="runs-plot__keys">
        {t("progress.chart")}
        {STACK.map((score) => (
          <span key={score} className="runs-plot__key" data-key={score}>
            <svg className="runs-plot" width={18} height={14} aria-hidden="true">
              <rect className="runs-plot__part" data-score={score} x={1} y={1} width={16} height={12} />
            </svg>
            {t(WORDS[score])}
          </span>
        ))}
      </p>
      <p>
        {t("progress.overColumn")} {t("progress.lateness")}
      </p>
    </div>
  );
}

function sum({ counts }: RigRun): number {
  return STACK.reduce((all, score) => all + counts[score], 0);
}
