/** Opens a board's link with the hub the page came from: open to anyone, and without any storage. */
import { BoardClient, type BoardClientView } from "../../shared/link/board-client.ts";
import type { ClockReading } from "../../shared/link/session-types.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import { browserLink, followPage, offerClock } from "./page-life.ts";

export interface PageBoard {
  subscribe(listener: () => void): () => void;
  view(): BoardClientView;
  /** Real UTC by the eclipse clock, ms with fraction. */
  now(): UtcMs;
  reading(): ClockReading;
  /** How far what contradicts the hub's clock is from it, ms. */
  apartMs(): number;
  close(): void;
}

export function openBoard(): PageBoard {
  const board = new BoardClient(browserLink());
  const reading = () => board.reading();
  offerClock(reading);
  const unfollow = followPage(board);
  board.start();
  return {
    subscribe: (listener) => board.subscribe(listener),
    view: () => board.view(),
    now: () => reading().utcMs,
    reading,
    apartMs: () => board.apartMs(),
    close() {
      unfollow();
      board.stop();
    },
  };
}
