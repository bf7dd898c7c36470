/**
 * What happened around totality, one row a rig: for how long the filter was off, when each cue was
 * due (its window) and when it was done. Time runs left to right in every language.
 */
import type { Review, ReviewedCue } from "../../../../shared/review/review.ts";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";

/** Drawn before C2 and after C3, ms. */
const MARGIN_MS = 90_000;
const ROW_PX = 56;
const LABEL_PX = 20;
const FOOT_PX = 26;

export function RunChart({ review }: { review: Review }) {
  const { c2, c3 } = review.contacts;
  if (c2 === null || c3 === null) return null;
  const [from, to] = [c2 - MARGIN_MS, c3 + MARGIN_MS];
  const x = (ms: number) => `${(100 * Math.min(1, Math.max(0, (ms - from) / (to - from)))).toFixed(2)}%`;
  const width = (a: number, b: number) =>
    `${Math.max(0, Number.parseFloat(x(b)) - Number.parseFloat(x(a)))}%`;
  const isIn = (ms: number) => ms >= from && ms <= to;
  const height = review.rigs.length * ROW_PX;
  return (
    <figure className="run-chart" dir="ltr">
      <svg width="100%" height={height + FOOT_PX} role="img" aria-label={t("debrief.chart")}>
        <rect className="run-chart__totality" x={x(c2)} width={width(c2, c3)} y={0} height={height} />
        {review.rigs.map(({ id, name }, row) => {
          const top = row * ROW_PX;
          const filter = review.filters.find(({ rigId }) => rigId === id);
          const cues = review.cues.filter(
            ({ rigId, dueRunMs, doneRunMs }) => rigId === id && isIn(doneRunMs ?? dueRunMs),
          );
          return (
            <g key={id} data-rig={id}>
              <text className="run-chart__name" x={0} y={top + 14}>
                {name}
              </text>
              <line
                className="run-chart__axis"
                x1={0}
                x2="100%"
                y1={top + ROW_PX - 12}
                y2={top + ROW_PX - 12}
              />
              {filter?.open.map((one) => (
                <rect
                  key={one.fromRunMs}
                  className="run-chart__open"
                  data-closed={one.closed}
                  x={x(one.fromRunMs)}
                  width={width(one.fromRunMs, one.untilRunMs)}
                  y={top + ROW_PX - 17}
                  height={10}
                />
              ))}
              {cues.map((cue) => (
                <CueMark key={cue.cueId} cue={cue} top={top + LABEL_PX} x={x} width={width} />
              ))}
            </g>
          );
        })}
        {[
          ["C2", c2],
          ["C3", c3],
        ].map(([label, ms]) => (
          <text
            key={label}
            className="run-chart__contact"
            x={x(Number(ms))}
            y={height + 18}
            textAnchor="middle"
          >
            {label} {clockText(Number(ms))}
          </text>
        ))}
      </svg>
      <figcaption className="soft">{t("debrief.chartSays")}</figcaption>
    </figure>
  );
}

interface MarkProps {
  cue: ReviewedCue;
  top: number;
  x: (ms: number) => string;
  width: (a: number, b: number) => string;
}

/** The window pale, the doing a stroke; what was missed a cross where it was due. */
function CueMark({ cue, top, x, width }: MarkProps) {
  const foot = top + ROW_PX - LABEL_PX - 18;
  return (
    <g className="run-chart__cue" data-score={cue.score}>
      <rect
        x={x(cue.fromRunMs)}
        width={width(cue.fromRunMs, cue.toRunMs)}
        y={top + 2}
        height={foot - top - 2}
      />
      {cue.doneRunMs === null ? (
        <svg x={x(cue.dueRunMs)} y={(top + foot) / 2} overflow="visible" aria-hidden="true">
          <path d="M-5 -5 L5 5 M-5 5 L5 -5" />
        </svg>
      ) : (
        <line x1={x(cue.doneRunMs)} x2={x(cue.doneRunMs)} y1={top} y2={foot} />
      )}
    </g>
  );
}
