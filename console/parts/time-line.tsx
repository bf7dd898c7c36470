/**
 * The line of time as an almanac would draw it: contacts to scale, totality stretched between two
 * breaks, the present a thin upright, cues ticks whose length is hands-on time and whose width is
 * the window. One row or many under one present. It fills its container; time runs left to right
 * in every language, like the figures.
 */
import "../words/bundles/pieces.ts";
import type { ContactName } from "../../shared/eclipse/circumstances-types.ts";
import { useWords } from "../words/words.ts";
import { clockText } from "./time-format.ts";
import "./time-line.css";
import {
  type CueTick,
  cueTicks,
  type TickRow,
  type TimeLineContacts,
  type TimeLineCue,
  type TimeLineLayout,
  timeLineLayout,
} from "./time-line-layout.ts";

interface TimeLineRow {
  id: string;
  /** Written at the row's start; left out on a page with one rig. */
  label?: string;
  cues: readonly TimeLineCue[];
}

interface TimeLineProps {
  contacts: TimeLineContacts;
  /** Run time now, ms; null on paper and while no clock has been set. */
  runNow: number | null;
  /** The cues of the only row. */
  cues?: readonly TimeLineCue[];
  rows?: readonly TimeLineRow[];
  /** Names (and, where there is room, times) of the contacts beneath. */
  labels?: boolean;
  /** How an instant is written; UTC when left out. */
  timeText?: (atMs: number) => string;
  /** What the contacts are called, above their times; C1 to C4 beside them when left out. */
  names?: Readonly<Record<ContactName, string>>;
}

const NAMES: Record<ContactName, string> = { c1: "C1", c2: "C2", max: "max", c3: "C3", c4: "C4" };
const ROW_PX = 34;
const LABELLED_ROW_PX = 46;
/** Room for the labels, in their own size: a line, or two where names are words. */
const LABELS_EM = { beside: 1.5, above: 2.7 } as const;

export function TimeLine({
  contacts,
  runNow,
  cues = [],
  rows,
  labels = true,
  timeText = clockText,
  names,
}: TimeLineProps) {
  const { t } = useWords();
  const layout = timeLineLayout(contacts);
  if (!layout) return null;
  const all: readonly TimeLineRow[] = rows ?? [{ id: "", cues }];
  const rowPx = all.some((row) => row.label) ? LABELLED_ROW_PX : ROW_PX;
  const tracksPx = rowPx * all.length;
  const called = names ?? NAMES;
  const told = layout.marks.map((mark) => `${called[mark.name]} ${timeText(mark.atMs)}`).join(", ");
  const present = runNow === null ? null : layout.at(runNow);
  return (
    <figure className="time-line" dir="ltr" data-named-by={names ? "words" : "letters"}>
      <svg
        width="100%"
        style={{ blockSize: `calc(${tracksPx}px + ${labels ? LABELS_EM[names ? "above" : "beside"] : 0}em)` }}
        role="img"
        aria-label={t("timeLine.label", { contacts: told })}
      >
        {all.map((row, index) => (
          <Track
            key={row.id}
            layout={layout}
            row={cueTicks(layout, row.cues)}
            label={row.label ?? null}
            midPx={index * rowPx + rowPx - ROW_PX / 2}
          />
        ))}
        {labels ? (
          <ContactLabels
            layout={layout}
            names={called}
            timeText={timeText}
            y={tracksPx}
            timesBelow={names !== undefined}
          />
        ) : null}
        {present === null ? null : (
          <line className="time-line-present" x1={pct(present)} x2={pct(present)} y1={0} y2={tracksPx} />
        )}
      </svg>
    </figure>
  );
}

interface TrackProps {
  layout: TimeLineLayout;
  row: TickRow;
  label: string | null;
  midPx: number;
}

function Track({ layout, row, label, midPx }: TrackProps) {
  const { stretch, inner } = layout;
  const half = ROW_PX / 2 - 3;
  return (
    <g>
      {label ? (
        <text className="time-line-text" x={0} y={midPx - ROW_PX / 2}>
          {label}
        </text>
      ) : null}
      <line className="time-line-axis" x1="0%" x2={pct(stretch?.from ?? 1)} y1={midPx} y2={midPx} />
      {stretch ? (
        <>
          <line
            className="time-line-axis"
            x1={pct(stretch.from)}
            x2={pct(stretch.to)}
            y1={midPx}
            y2={midPx}
          />
          <line className="time-line-axis" x1={pct(stretch.to)} x2="100%" y1={midPx} y2={midPx} />
        </>
      ) : null}
      {inner ? (
        <rect
          className="time-line-inner"
          data-inner={true}
          x={pct(inner.from)}
          width={pct(inner.to - inner.from)}
          y={midPx - half}
          height={2 * half}
        />
      ) : null}
      {layout.marks
        .filter((mark) => mark.name !== "c2" && mark.name !== "c3")
        .map((mark) => (
          <line
            key={mark.name}
            className="time-line-contact"
            x1={pct(mark.x)}
            x2={pct(mark.x)}
            y1={midPx - (mark.name === "max" ? 4 : 7)}
            y2={midPx + (mark.name === "max" ? 4 : 7)}
          />
        ))}
      {row.ticks.map((tick) => (
        <Tick key={tick.id} tick={tick} midPx={midPx} halfPx={half * tick.length} />
      ))}
      {stretch ? (
        <>
          <Break x={stretch.from} midPx={midPx} />
          <Break x={stretch.to} midPx={midPx} />
        </>
      ) : null}
      {row.before > 0 ? <path className="time-line-beyond" d={`M6 ${midPx - 4} l-5 4 l5 4`} /> : null}
      {row.after > 0 ? (
        <svg x="100%" y={midPx} overflow="visible" aria-hidden="true">
          <path className="time-line-beyond" d="M-6 -4 l5 4 l-5 4" />
        </svg>
      ) : null}
    </g>
  );
}

function Tick({ tick, midPx, halfPx }: { tick: CueTick; midPx: number; halfPx: number }) {
  return (
    <g className="time-line-cue" data-state={tick.state}>
      <rect
        className="time-line-window"
        x={pct(tick.from)}
        width={pct(tick.to - tick.from)}
        y={midPx - halfPx}
        height={2 * halfPx}
      />
      <line x1={pct(tick.x)} x2={pct(tick.x)} y1={midPx - halfPx} y2={midPx + halfPx} />
    </g>
  );
}

/** Two slanted strokes over a gap: the scale changes here. */
function Break({ x, midPx }: { x: number; midPx: number }) {
  return (
    <svg x={pct(x)} y={midPx} overflow="visible" aria-hidden="true">
      <path className="time-line-gap" d="M-4 7 L0 -7 L4 -7 L0 7 Z" />
      <path className="time-line-break" d="M-4 7 L0 -7 M0 7 L4 -7" />
    </svg>
  );
}

interface LabelsProps {
  layout: TimeLineLayout;
  names: Readonly<Record<ContactName, string>>;
  timeText: (atMs: number) => string;
  /** The foot of the tracks: labels hang from it, clear of what is drawn above, however large they are. */
  y: number;
  timesBelow: boolean;
}

function ContactLabels({ layout, names, timeText, y, timesBelow }: LabelsProps) {
  const shown = layout.marks.filter((mark) => layout.inner === null || mark.name !== "max");
  return shown.map((mark) => (
    <text
      key={mark.name}
      className="time-line-text"
      data-contact={mark.name}
      x={pct(mark.x)}
      y={y}
      dy="1.05em"
      textAnchor={anchorOf(mark)}
    >
      {names[mark.name]}
      {timesBelow ? (
        <tspan className="time-line-time" x={pct(mark.x)} dy="1.25em">
          {timeText(mark.atMs)}
        </tspan>
      ) : (
        <tspan className="time-line-time"> {timeText(mark.atMs)}</tspan>
      )}
    </text>
  ));
}

/** The labels of C2 and C3 hang outwards, so that a short totality does not make them collide. */
function anchorOf(mark: TimeLineLayout["marks"][number]): "start" | "middle" | "end" {
  if (mark.x < 0.06) return "start";
  if (mark.x > 0.94) return "end";
  return mark.name === "c2" ? "end" : mark.name === "c3" ? "start" : "middle";
}

function pct(share: number): string {
  return `${Math.round(share * 1e5) / 1e3}%`;
}
