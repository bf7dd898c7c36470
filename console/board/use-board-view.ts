/** What the board says now, on every page that shows it. */
import { useEffect, useRef } from "react";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import type { RunMs, UtcMs } from "../../shared/time/instants.ts";
import { type BoardKnowledge, type BoardView, boardView, glassesOnAfter } from "./board-view.ts";

/** Null before any snapshot. Once glasses are on after a call they stay on until the next one (S13). */
export function useBoardView(
  board: BoardSnapshot | null,
  now: UtcMs,
  known: Omit<BoardKnowledge, "onAfterCallMs">,
): BoardView | null {
  const onAfterCallMs = useRef<RunMs | null>(null);
  const told = board ? boardView(board, now, { ...known, onAfterCallMs: onAfterCallMs.current }) : null;
  useEffect(() => {
    if (board && told) onAfterCallMs.current = glassesOnAfter(told, board, onAfterCallMs.current);
  });
  return told;
}
