/**
 * A rig's cues under headings of what happens in the sky, in the order of time. Where one heading
 * ends and the next begins is how people speak of it (common practice, no source): nothing of a
 * rule hangs on it. Pure.
 */
import type { ContactName } from "../../../../shared/eclipse/circumstances-types.ts";
import { type AnchorTimes, cueDueMs } from "../../../../shared/plan/cue-times.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";

/** In the order of the day; `never`: this place does not get what the cue hangs on. */
export const CHAPTERS = [
  "before",
  "partial",
  "lastTen",
  "c2",
  "totality",
  "c3",
  "max",
  "after",
  "over",
  "never",
] as const;
export type ChapterName = (typeof CHAPTERS)[number];

export interface PlacedCue {
  cue: Cue;
  /** The first time it comes, UTC ms; null where it never does. */
  dueMs: number | null;
}

export interface Chapter {
  name: ChapterName;
  cues: PlacedCue[];
}

type Contacts = Readonly<Record<ContactName, number | null>>;

const LAST_TEN_MS = 600_000;
/** Around C2, C3 and a maximum without them: from, and until. */
const BEFORE_C2_MS = 60_000;
const AFTER_C2_MS = 10_000;
const BEFORE_C3_MS = 30_000;
const AFTER_C3_MS = 60_000;

/** Only headings under which something stands; of two cues at one time the list's first is first. */
export function chaptersOf(cues: readonly Cue[], times: AnchorTimes): Chapter[] {
  const placed = cues
    .map((cue): PlacedCue => ({ cue, dueMs: cueDueMs(cue, times) }))
    .sort((a, b) => (a.dueMs ?? Number.MAX_VALUE) - (b.dueMs ?? Number.MAX_VALUE));
  return CHAPTERS.flatMap((name) => {
    const under = placed.filter(({ dueMs }) => chapterAt(dueMs, times) === name);
    return under.length === 0 ? [] : [{ name, cues: under }];
  });
}

export function chapterAt(dueMs: number | null, { c1, c2, max, c3, c4 }: Contacts): ChapterName {
  if (dueMs === null) return "never";
  if (c1 !== null && dueMs < c1) return "before";
  const begins = c2 ?? max;
  if (begins !== null && dueMs < begins - LAST_TEN_MS) return "partial";
  if (begins !== null && dueMs < begins - BEFORE_C2_MS) return "lastTen";
  if (c2 !== null && c3 !== null) {
    const middle = (c2 + c3) / 2;
    if (dueMs <= Math.min(c2 + AFTER_C2_MS, middle)) return "c2";
    if (dueMs < Math.max(c3 - BEFORE_C3_MS, middle)) return "totality";
    if (dueMs <= c3 + AFTER_C3_MS) return "c3";
  } else if (max !== null && dueMs <= max + AFTER_C3_MS) return "max";
  return c4 !== null && dueMs > c4 ? "over" : "after";
}
