/** From a place on the drawn line of time back to an instant, and to an offset that people would write. */
import type { TimeLineLayout } from "../../../parts/time-line-layout.ts";

/** The instant that stands at a share of the line's width; the ends at and beyond them. Inverse of `at`. */
export function msAt({ fromMs, toMs, stretch }: TimeLineLayout, x: number): number {
  const within = Math.min(1, Math.max(0, x));
  if (!stretch) return fromMs + within * (toMs - fromMs);
  if (within < stretch.from) return between(within, 0, stretch.from, fromMs, stretch.fromMs);
  if (within > stretch.to) return between(within, stretch.to, 1, stretch.toMs, toMs);
  return between(within, stretch.from, stretch.to, stretch.fromMs, stretch.toMs);
}

function between(x: number, from: number, to: number, fromMs: number, toMs: number): number {
  return fromMs + ((x - from) / (to - from)) * (toMs - fromMs);
}

/** Seconds from an anchor: whole ones where totality is stretched, else tens, as fine as a finger is. */
export function offsetAt(layout: TimeLineLayout, x: number, anchorMs: number): number {
  const ms = msAt(layout, x);
  const { stretch } = layout;
  const stepS = stretch && ms >= stretch.fromMs && ms <= stretch.toMs ? 1 : 10;
  return Math.round((ms - anchorMs) / 1000 / stepS) * stepS;
}
