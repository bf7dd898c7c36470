/** What the board says now, on every page that shows it. */
import { type RefObject, useEffect, useRef } from "react";
import type { BoardClientView } from "../../shared/link/board-client.ts";
import type { ClockReading } from "../../shared/link/session-types.ts";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import type { RunMs, UtcMs } from "../../shared/time/instants.ts";
import type { PageBoard } from "../link/page-board.ts";
import { useNow, useSessionView } from "../link/use-session.ts";
import { type BoardKnowledge, type BoardView, boardView, glassesOnAfter } from "./board-view.ts";
import { practiceOn, utcOfRunAt } from "./run-clock.ts";

/**
 * A page draws some ms after the instant, and a bound holds nearly always: so much is added to what its
 * clock may be off, ms, that a board is not later than the hub by either. Common practice, no source.
 */
const DRAWN_MS = 20;

/** What is handed to boardView() for a page that draws. */
export function drawnBoundMs(boundMs: number): number {
  return boundMs + DRAWN_MS;
}

export interface BoardTold {
  seen: BoardClientView;
  now: UtcMs;
  reading: ClockReading;
  /** Null before any snapshot. */
  told: BoardView | null;
}

/** Told four times a second, when glasses go on, and when news comes. */
export function useBoardTold(session: PageBoard): BoardTold {
  const seen = useSessionView(session);
  const glassesOnAt = useRef<UtcMs | null>(null);
  const now = useNow(session, undefined, glassesOnAt);
  const { board, heard: linked, cover } = seen;
  const reading = session.reading();
  const practice = practiceOn(board?.practice ?? null, now) !== null;
  // A practice hangs on the hub's own clock, the eclipse on UTC; what the hub doubts of that is in
  // its contacts already.
  const { filterC3 = null, safeC3 = null } = board?.contacts ?? {};
  const ofHub = practice || safeC3 !== filterC3;
  const boundMs = ofHub ? reading.boundMs : Math.max(reading.boundMs, reading.utcBoundMs);
  const told = useBoardView(board, now, { boundMs, linked, cover }, glassesOnAt);
  return { seen, now, reading, told };
}

/**
 * Null before any snapshot. Once glasses are on after a call they stay on until the next one (S13).
 * `glassesOnAt` is told when they go on by the clock, so that the page draws then and not a quarter of
 * a second later (useNow).
 */
function useBoardView(
  board: BoardSnapshot | null,
  now: UtcMs,
  known: Omit<BoardKnowledge, "onAfterCallMs">,
  glassesOnAt: RefObject<UtcMs | null>,
): BoardView | null {
  const onAfterCallMs = useRef<RunMs | null>(null);
  const boundMs = drawnBoundMs(known.boundMs);
  const told = board
    ? boardView(board, now, { ...known, boundMs, onAfterCallMs: onAfterCallMs.current })
    : null;
  useEffect(() => {
    if (board && told) onAfterCallMs.current = glassesOnAfter(told, board, onAfterCallMs.current);
    const next = told?.next?.step === "glassesOn" ? told.next.atRunMs : null;
    glassesOnAt.current = board && next !== null ? utcOfRunAt(board.practice, now, next) : null;
  });
  return told;
}
