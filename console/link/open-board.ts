/** Opens a board's link with the hub the page came from: open to anyone, and without any storage. */
import { BoardClient } from "../../shared/link/board-client.ts";
import { browserLink } from "./browser-link.ts";
import type { PageBoard } from "./page-board.ts";
import { followPage, offerClock } from "./page-life.ts";

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
