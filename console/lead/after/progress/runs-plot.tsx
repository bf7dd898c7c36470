/**
 * One rig's practice runs as columns, oldest first: from the foot what was on time, early, late and not
 * confirmed, each with a pattern of its own so that it can be read on paper; over it, in seconds, how long
 * after C3 the filter was on again (0:00: by C3). Time runs left to right in every language.
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
      height={HEAD_PX + HEIGHT_PX + FOOT_PX}
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
    </svg>
  );
}

function sum({ counts }: RigRun): number {
  return STACK.reduce((all, score) => all + counts[score], 0);
}
