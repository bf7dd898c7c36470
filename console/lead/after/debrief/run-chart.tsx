/**
 * What happened, one row a rig: for how long the filter was off, when each cue was due (its window) and when
 * it was done. Time runs left to right in every language. Rigs of which there is nothing to draw, and cues
 * beyond the drawing's ends, are said beneath.
 */
import type { Review, ReviewedCue } from "../../../../shared/review/review.ts";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { chartSpan } from "./chart-span.ts";
import { listText } from "./debrief-sentences.ts";

/** With many rigs rows are lower. */
const MANY = 12;
const FOOT_PX = 26;
/** And contacts are named above them, too. */
const HEAD_PX = 24;

interface ChartProps {
  review: Review;
  /** In the order in which they are drawn. */
  rigs: readonly { id: string; name: string }[];
}

export function RunChart({ review, rigs }: ChartProps) {
  const span = chartSpan(review);
  if (!span) return null;
  const { fromMs, toMs, inner, marks } = span;
  const x = (ms: number) =>
    `${(100 * Math.min(1, Math.max(0, (ms - fromMs) / (toMs - fromMs)))).toFixed(2)}%`;
  const width = (a: number, b: number) =>
    `${Math.max(0, Number.parseFloat(x(b)) - Number.parseFloat(x(a)))}%`;
  const isIn = ({ doneRunMs, dueRunMs }: ReviewedCue) => {
    const at = doneRunMs ?? dueRunMs;
    return at >= fromMs && at <= toMs;
  };
  const all = rigs.map(({ id, name }) => ({
    ...{ id, name },
    cues: review.cues.filter((cue) => cue.rigId === id && isIn(cue)),
    open: (review.filters.find(({ rigId }) => rigId === id)?.open ?? []).filter(
      ({ fromRunMs, untilRunMs }) => fromRunMs <= toMs && untilRunMs >= fromMs,
    ),
  }));
  const rows = all.filter(({ cues, open }) => cues.length > 0 || open.length > 0);
  const undrawn = all.filter((row) => !rows.includes(row)).map(({ name }) => name);
  const beyond = review.cues.filter((cue) => !isIn(cue)).length;
  const many = rows.length > MANY;
  const rowPx = many ? 40 : 56;
  const height = rows.length * rowPx;
  const headPx = many ? HEAD_PX : 0;
  const between = inner ? (inner.toMs - inner.fromMs) / (toMs - fromMs) : 1;
  const contacts = (y: number) =>
    marks.map(({ name, atMs }) => (
      <text
        key={name}
        className="run-chart__contact"
        x={x(atMs)}
        y={y}
        textAnchor={anchorOf(name, (atMs - fromMs) / (toMs - fromMs), between)}
      >
        {name} {clockText(atMs)}
      </text>
    ));
  return (
    <figure className="run-chart" data-rows={rows.length}>
      {rows.length > 0 && (
        <svg
          width="100%"
          height={headPx + height + FOOT_PX}
          role="img"
          aria-label={t("debrief.chart")}
          style={{ direction: "ltr" }}
        >
          <svg y={headPx} overflow="visible" aria-hidden="true">
            {inner && (
              <rect
                className="run-chart__totality"
                x={x(inner.fromMs)}
                width={width(inner.fromMs, inner.toMs)}
                y={0}
                height={height}
              />
            )}
            {rows.map(({ id, name, cues, open }, row) => {
              const foot = (row + 1) * rowPx - 12;
              return (
                <g key={id} data-rig={id}>
                  <text className="run-chart__name" x={0} y={row * rowPx + 14}>
                    {name}
                  </text>
                  <line className="run-chart__axis" x1={0} x2="100%" y1={foot} y2={foot} />
                  {open.map((one) => (
                    <rect
                      key={one.fromRunMs}
                      className="run-chart__open"
                      data-closed={one.closed}
                      x={x(one.fromRunMs)}
                      width={width(one.fromRunMs, one.untilRunMs)}
                      y={foot - 5}
                      height={10}
                    />
                  ))}
                  {cues.map((cue) => (
                    <CueMark key={cue.cueId} cue={cue} foot={foot} x={x} width={width} />
                  ))}
                </g>
              );
            })}
            {contacts(height + 18)}
            {many && contacts(-headPx + 14)}
          </svg>
        </svg>
      )}
      <figcaption className="soft">
        {rows.length > 0 && t("debrief.chartSays")}
        {beyond > 0 && ` ${t("debrief.beyond", { count: beyond })}`}
        {undrawn.length > 0 && ` ${t("debrief.undrawn", { rigs: listText(undrawn) })}`}
      </figcaption>
    </figure>
  );
}

/** A share of the width that two names have room in, on a phone, too. */
const ROOMY = 0.4;

/** C2 and C3 hang outwards over a short totality, so that they never meet. */
function anchorOf(name: string, share: number, between: number): "start" | "middle" | "end" {
  if (share < 0.06) return "start";
  if (share > 0.94) return "end";
  if (between > ROOMY) return "middle";
  return name === "C2" ? "end" : name === "C3" ? "start" : "middle";
}

interface MarkProps {
  cue: ReviewedCue;
  /** Where the row's line of time lies, px. */
  foot: number;
  x: (ms: number) => string;
  width: (a: number, b: number) => string;
}

/** The window pale, the doing a stroke; what was missed a cross where it was due. */
function CueMark({ cue, foot, x, width }: MarkProps) {
  const top = foot - 24;
  return (
    <g className="run-chart__cue" data-score={cue.score}>
      <rect x={x(cue.fromRunMs)} width={width(cue.fromRunMs, cue.toRunMs)} y={top + 3} height={15} />
      {cue.doneRunMs === null ? (
        <svg x={x(cue.dueRunMs)} y={top + 10} overflow="visible" aria-hidden="true">
          <path d="M-5 -5 L5 5 M-5 5 L5 -5" />
        </svg>
      ) : (
        <line x1={x(cue.doneRunMs)} x2={x(cue.doneRunMs)} y1={top} y2={top + 19} />
      )}
    </g>
  );
}
