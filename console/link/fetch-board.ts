/** Opens a board that fetches, from the relay or cache the page came from: no socket, no storage. */
import { BoardFetcher, type BoardReply } from "../../shared/link/board-fetcher.ts";
import { BOARD_KEY, MOST_BOARD_BYTES } from "../../shared/protocol/board-document.ts";
import { systemClock } from "../../shared/time/clock.ts";
import { pageTimers } from "./browser-timers.ts";
import { checkSignature } from "./check-signature.ts";
import { inTime } from "./in-time.ts";
import { type PageBoard, pageBoard } from "./page-board.ts";

const PATIENCE_MS = 6000;

export function openBoard(): PageBoard {
  return pageBoard(
    new BoardFetcher({
      clock: systemClock,
      timers: pageTimers,
      key: keyInAddress(window.location.hash),
      askBoard,
      askTime,
      check: checkSignature,
      chance: Math.random,
    }),
  );
}

/** "#key=…" of the board's address; null where it has none that can be one. */
function keyInAddress(hash: string): string | null {
  const key = new URLSearchParams(hash.slice(1)).get("key");
  return key !== null && BOARD_KEY.test(key) ? key : null;
}

async function askBoard(etag: string | null): Promise<BoardReply> {
  const answer = await fetch("/api/board", {
    cache: "no-store",
    credentials: "omit",
    signal: inTime(PATIENCE_MS),
    ...(etag !== null && { headers: { "If-None-Match": etag } }),
  });
  const seconds = Number(answer.headers.get("Retry-After"));
  const text = answer.status === 200 ? (await answer.text()).slice(0, MOST_BOARD_BYTES + 1) : "";
  return {
    status: answer.status,
    text,
    etag: answer.headers.get("ETag"),
    retryAfterMs: seconds > 0 ? seconds * 1000 : 0,
  };
}

async function askTime(regular: boolean): Promise<unknown> {
  const answer = await fetch(regular ? "/api/time?minute" : "/api/time", {
    cache: "no-store",
    credentials: "omit",
    signal: inTime(PATIENCE_MS),
  });
  return answer.json();
}
