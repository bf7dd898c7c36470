/**
 * What there is to see now, in a line or two by phase. Pure: a view of the board in, a key out. Never a
 * word to look without the rule that goes with it (S13); in a practice run none that could be obeyed
 * at once. Whatever stands in the safety line stands above it.
 */
import type { WordKey } from "../words/words.ts";
import type { BoardView } from "./board-view.ts";

/** It cools and darkens noticeably from here on, ms before C2. Common practice, no source. */
const LATE_MS = 15 * 60_000;
/** The shadow comes in sight, ms before C2. Common practice, no source. */
const SHADOW_MS = 2 * 60_000;

export interface Narration {
  line: WordKey | null;
  /** Which planets and stars are named beside it: those right beside the Sun only once glasses may be off. */
  sky: "none" | "far" | "all";
  /** What it was like here. */
  past: boolean;
}

export function narration({ phase, kind, contacts, runNowMs, practice, sun }: BoardView): Narration {
  const nothing: Narration = { line: null, sky: "none", past: false };
  const over = kind === "total" && (phase === "uncovering" || phase === "after");
  // Most come to read it in the evening.
  if (sun && !sun.up) return { ...nothing, past: over };
  const toTotalityMs = kind === "total" && contacts.c2 !== null ? contacts.c2 - runNowMs : null;
  const late = toTotalityMs !== null && toTotalityMs < LATE_MS;
  switch (phase) {
    case "before":
      return { ...nothing, line: "board.see.before" };
    case "covering":
      if (!late) return { ...nothing, line: "board.see.crescents" };
      return {
        line: toTotalityMs < SHADOW_MS ? "board.see.shadow" : "board.see.late",
        sky: "far",
        past: false,
      };
    case "due":
      return { line: "board.see.due", sky: "far", past: false };
    case "totality":
      if (practice) return { line: "board.see.totalityPractice", sky: "far", past: false };
      return { line: "board.see.totality", sky: "all", past: false };
    case "ending":
    case "returning":
      return { ...nothing, line: "board.see.returning" };
    case "ring":
      return { ...nothing, line: "board.see.ring" };
    case "uncovering":
      return {
        ...nothing,
        line: kind === "total" ? "board.see.uncovering" : "board.see.crescents",
        past: over,
      };
    case "after":
      return { ...nothing, past: over };
    default:
      return nothing;
  }
}
