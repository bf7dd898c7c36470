/** Opens a board's link with the hub the page came from: open to anyone, and without any storage. */
import { BoardClient } from "../../shared/link/board-client.ts";
import { browserLink } from "./browser-link.ts";
import { type PageBoard, pageBoard } from "./page-board.ts";

export function openBoard(): PageBoard {
  return pageBoard(new BoardClient(browserLink()));
}
