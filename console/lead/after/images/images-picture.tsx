/**
 * The whole eclipse in one picture: a row a rig, totality wide, each frame a mark, videos as bars, planned
 * cues beneath. Marks are drawn on a canvas: five thousand elements would stutter. Time runs left to right
 * in every language.
 */
import { type PointerEvent, useEffect, useRef } from "react";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { cueTicks, type TimeLineCue, type TimeLineLayout } from "../../../parts/time-line-layout.ts";
import { t } from "../../../words/words.ts";
import type { TimedRow } from "./image-row.ts";
import { inkOf, momentAt } from "./picture-layout.ts";

const ROW_PX = 44;
const FRAMES_PX = 26;
const CUES_PX = 10;

export interface PictureRig {
  rig: Pick<Rig, "id" | "name">;
  rows: readonly TimedRow[];
  cues: readonly TimeLineCue[];
}

interface PictureProps {
  layout: TimeLineLayout;
  rigs: readonly PictureRig[];
  atMs: number;
  move: (atMs: number) => void;
  palette: string;
}

export function ImagesPicture({ layout, rigs, atMs, move, palette }: PictureProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const height = rigs.length * ROW_PX;
  // biome-ignore lint/correctness/useExhaustiveDependencies: the palette's colours are read from the page.
  useEffect(() => {
    const target = canvas.current;
    if (!target) return;
    const draw = () => drawRows(target, layout, rigs);
    draw();
    const watch = new ResizeObserver(draw);
    watch.observe(target);
    return () => watch.disconnect();
  }, [layout, rigs, palette]);

  function point(event: PointerEvent<HTMLElement>): void {
    if (event.type === "pointermove" && event.buttons === 0 && event.pointerType !== "mouse") return;
    const box = event.currentTarget.getBoundingClientRect();
    move(momentAt(layout, (event.clientX - box.left) / box.width));
  }
  const percent = (x: number) => `${(100 * x).toFixed(3)}%`;
  return (
    <figure className="images-picture" dir="ltr" data-part="images-picture">
      <ul className="images-picture__names">
        {rigs.map(({ rig, rows }) => (
          <li key={rig.id} style={{ height: ROW_PX }} data-rig={rig.id}>
            <bdi>{rig.name}</bdi> <span className="soft">{rows.length}</span>
          </li>
        ))}
      </ul>
      <div className="images-picture__field" onPointerMove={point} onPointerDown={point}>
        {layout.inner && (
          <div
            className="images-picture__totality"
            style={{ left: percent(layout.inner.from), width: percent(layout.inner.to - layout.inner.from) }}
          />
        )}
        <canvas ref={canvas} style={{ height }} role="img" aria-label={t("images.picture")} />
        <div className="images-picture__cursor" style={{ left: percent(layout.at(atMs)) }} />
        <div className="images-picture__contacts">
          {layout.marks
            .filter(({ name }) => name !== "max")
            .map(({ name, x }) => (
              <span key={name} style={{ left: percent(x) }}>
                {name.toUpperCase()}
              </span>
            ))}
        </div>
      </div>
      <figcaption className="soft" dir="auto">
        {t("images.pictureSays")}
      </figcaption>
    </figure>
  );
}

function drawRows(canvas: HTMLCanvasElement, layout: TimeLineLayout, rigs: readonly PictureRig[]): void {
  const context = canvas.getContext("2d");
  if (!context) return;
  const scale = window.devicePixelRatio || 1;
  const { clientWidth: width, clientHeight: height } = canvas;
  canvas.width = Math.round(width * scale);
  canvas.height = Math.round(height * scale);
  context.scale(scale, scale);
  const style = getComputedStyle(canvas);
  const colour = (name: string) => style.getPropertyValue(name).trim();
  const ink = inkOf(rigs.flatMap(({ rows }) => rows));
  context.clearRect(0, 0, width, height);
  for (const [i, { rows, cues }] of rigs.entries()) {
    const top = i * ROW_PX + 2;
    const foot = top + FRAMES_PX;
    context.globalAlpha = 1;
    context.fillStyle = colour("--edge");
    context.fillRect(0, foot + 1, width, 1);
    context.fillStyle = colour("--ink");
    context.strokeStyle = colour("--ink");
    for (const row of rows) {
      const x = layout.at(row.atMs) * width;
      context.globalAlpha = ink(row);
      if (row.kind === "video") {
        const to = layout.at(row.atMs + (row.durationS ?? 0) * 1000) * width;
        context.globalAlpha = 1;
        context.strokeRect(x + 0.5, top + 6.5, Math.max(2, to - x), FRAMES_PX - 12);
      } else context.fillRect(x - 0.75, top, 1.5, FRAMES_PX);
    }
    context.globalAlpha = 1;
    context.fillStyle = colour("--soft");
    for (const tick of cueTicks(layout, cues).ticks) {
      const length = CUES_PX * tick.length;
      context.fillRect(tick.x * width - 1, foot + 3, 2, length);
    }
  }
}
