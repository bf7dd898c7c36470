/**
 * Where instants stand on the drawn line of time: from a little before C1 to a little after C4,
 * to scale, except that totality (or the ring) and the seconds around it are stretched between two
 * visible breaks. Piecewise linear; both outer pieces have one scale. Positions are shares of the
 * width, 0 at the start and 1 at the end. A partial eclipse has no stretch.
 */
import type { ContactName } from "../../shared/eclipse/circumstances-types.ts";

export type TimeLineContacts = Readonly<Record<ContactName, number | null>>;

/** A cue as the line draws it; times on the scale of the contacts, ms. */
export interface TimeLineCue {
  id: string;
  dueMs: number;
  /** Its window. */
  fromMs: number;
  toMs: number;
  /** How long hands are on the rig, seconds: the length of the tick. */
  handsS: number;
  state?: "ahead" | "next" | "now" | "late" | "done" | "skipped";
}

export interface TimeLineLayout {
  fromMs: number;
  toMs: number;
  /** The stretched piece, or null. Breaks are drawn at its ends. */
  stretch: { fromMs: number; toMs: number; from: number; to: number } | null;
  /** C2 to C3. */
  inner: { from: number; to: number } | null;
  marks: { name: ContactName; atMs: number; x: number }[];
  /** Position of an instant; instants beyond the ends stand at the ends. */
  at: (ms: number) => number;
}

export interface CueTick {
  id: string;
  x: number;
  /** Its window. */
  from: number;
  to: number;
  /** 0…1 of the row's height. */
  length: number;
  state: NonNullable<TimeLineCue["state"]>;
}

export interface TickRow {
  ticks: CueTick[];
  /** Cues due before the line begins, and after it ends. */
  before: number;
  after: number;
}

/** Share of the width that the stretched piece gets at least. */
export const STRETCH_SHARE = 0.44;
/** Seconds on either side of C2 and C3 that are stretched along: a share of C2–C3 within limits. */
const MARGIN_SHARE = 0.35;
const MARGIN_LEAST_S = 45;
const MARGIN_MOST_S = 90;
/** Beyond C1 and C4, as a share of the time between them. */
const OUTER_SHARE = 0.05;
const NAMES: readonly ContactName[] = ["c1", "c2", "max", "c3", "c4"];
/** Hands on the rig this long make the longest tick, seconds. */
const LONGEST_TICK_S = 60;
const SHORTEST_TICK = 0.35;

/** Null when the contacts span no time (no eclipse here, or none chosen). */
export function timeLineLayout(contacts: TimeLineContacts): TimeLineLayout | null {
  const known = NAMES.flatMap((name) => {
    const atMs = contacts[name];
    return atMs === null ? [] : [{ name, atMs }];
  });
  const firstMs = Math.min(...known.map((mark) => mark.atMs));
  const lastMs = Math.max(...known.map((mark) => mark.atMs));
  if (!(lastMs > firstMs)) return null;
  const outerMs = OUTER_SHARE * (lastMs - firstMs);
  const fromMs = firstMs - outerMs;
  const toMs = lastMs + outerMs;
  const stretch = stretched(contacts, fromMs, toMs);
  const at = (ms: number): number => {
    if (ms <= fromMs) return 0;
    if (ms >= toMs) return 1;
    if (!stretch) return (ms - fromMs) / (toMs - fromMs);
    if (ms < stretch.fromMs) return (stretch.from * (ms - fromMs)) / (stretch.fromMs - fromMs);
    if (ms > stretch.toMs)
      return stretch.to + ((1 - stretch.to) * (ms - stretch.toMs)) / (toMs - stretch.toMs);
    return (
      stretch.from + ((stretch.to - stretch.from) * (ms - stretch.fromMs)) / (stretch.toMs - stretch.fromMs)
    );
  };
  const { c2, c3 } = contacts;
  return {
    fromMs,
    toMs,
    stretch,
    inner: c2 !== null && c3 !== null && c3 > c2 ? { from: at(c2), to: at(c3) } : null,
    marks: known.map((mark) => ({ ...mark, x: at(mark.atMs) })),
    at,
  };
}

/** The cues of one row as ticks; those beyond the line's ends are only counted. */
export function cueTicks(layout: TimeLineLayout, cues: readonly TimeLineCue[]): TickRow {
  const row: TickRow = { ticks: [], before: 0, after: 0 };
  for (const cue of cues) {
    if (cue.dueMs < layout.fromMs) row.before += 1;
    else if (cue.dueMs > layout.toMs) row.after += 1;
    else
      row.ticks.push({
        id: cue.id,
        x: layout.at(cue.dueMs),
        from: layout.at(cue.fromMs),
        to: layout.at(cue.toMs),
        length: tickLength(cue.handsS),
        state: cue.state ?? "ahead",
      });
  }
  return row;
}

/** Grows with the root of hands-on time, so that 5 s and 20 s still differ to the eye. */
export function tickLength(handsS: number): number {
  const share = Math.sqrt(Math.min(1, Math.max(0, handsS) / LONGEST_TICK_S));
  return SHORTEST_TICK + (1 - SHORTEST_TICK) * share;
}

function stretched(contacts: TimeLineContacts, fromMs: number, toMs: number): TimeLineLayout["stretch"] {
  const { c2, c3 } = contacts;
  if (c2 === null || c3 === null || c3 <= c2) return null;
  const marginS = Math.min(MARGIN_MOST_S, Math.max(MARGIN_LEAST_S, (MARGIN_SHARE * (c3 - c2)) / 1000));
  const startMs = c2 - marginS * 1000;
  const endMs = c3 + marginS * 1000;
  const outerMs = startMs - fromMs + (toMs - endMs);
  if (startMs <= fromMs || endMs >= toMs) return null;
  const share = Math.max(STRETCH_SHARE, (endMs - startMs) / (toMs - fromMs));
  const from = ((1 - share) * (startMs - fromMs)) / outerMs;
  return { fromMs: startMs, toMs: endMs, from, to: from + share };
}
