/**
 * The order of a pair of hands around a contact, laid out on a line to scale: where each task begins
 * and ends, in percent of the line from its beginning, and the marks beneath it.
 */
import type { AssessedHands } from "../../../../shared/plan/assess/assess-plan.ts";

export interface StripBlock {
  rigId: string;
  cueId: string;
  /** Seconds from the contact. */
  startS: number;
  endS: number;
  /** Percent of the line. */
  from: number;
  width: number;
  undone: boolean;
  /** Who does it with them, by name. */
  with: readonly string[];
}

export interface Strip {
  blocks: StripBlock[];
  /** Where the contact stands, percent. */
  contactAt: number;
  /** Even steps along the line; 0 is the contact. */
  marks: { s: number; at: number }[];
}

/** What happens further from the contact than this is not crowded: nobody needs a picture of it. */
const REACH_S = 90;
const STEPS_S = [10, 15, 30, 60, 120];
const MARKS_MOST = 6;
/** A mark nearer to an end of the line than this, percent, would run over it. */
const MARK_ROOM = 6;
/** What is left undone has no length of its own here. */
const UNDONE_S = 3;

/** Null where nothing is done around this contact. */
export function stripAround(
  hands: Pick<AssessedHands, "order" | "dropped">,
  anchor: "C2" | "C3",
): Strip | null {
  const tasks = [
    ...hands.order
      .filter((one) => one.anchor === anchor)
      .map(({ rigId, cueId, startS, endS, with: others = [] }) => ({
        rigId,
        cueId,
        startS,
        endS,
        undone: false,
        with: others,
      })),
    ...hands.dropped
      .filter((one) => one.anchor === anchor)
      .map(({ rigId, cueId, atS }) => ({
        rigId,
        cueId,
        startS: atS,
        endS: atS + UNDONE_S,
        undone: true,
        with: [],
      })),
  ]
    .filter(({ startS, endS }) => endS > -REACH_S && startS < REACH_S)
    .sort((a, b) => a.startS - b.startS);
  if (tasks.length === 0) return null;
  const fromS = Math.min(-10, ...tasks.map(({ startS }) => startS)) - 2;
  const toS = Math.max(10, ...tasks.map(({ endS }) => endS)) + 2;
  const lengthS = toS - fromS;
  const percent = (s: number) => ((s - fromS) / lengthS) * 100;
  const step = STEPS_S.find((s) => lengthS / s <= MARKS_MOST) ?? 120;
  const marks: Strip["marks"] = [];
  for (let s = Math.ceil(fromS / step) * step; s <= toS; s += step) {
    const at = percent(s);
    if (s === 0 || (at >= MARK_ROOM && at <= 100 - MARK_ROOM)) marks.push({ s, at });
  }
  return {
    blocks: tasks.map((task) => ({
      ...task,
      from: percent(task.startS),
      width: ((task.endS - task.startS) / lengthS) * 100,
    })),
    contactAt: percent(0),
    marks,
  };
}
