/** Opens a board that fetches, from the relay or cache the page came from: no socket, no storage. */
import { BoardFetcher, type BoardReply } from "../../shared/link/board-fetcher.ts";
import { BOARD_KEY, MOST_BOARD_BYTES } from "../../shared/protocol/board-document.ts";
import { systemClock } from "../../shared/time/clock.ts";
import { pageTimers } from "./browser-timers.ts";
import { checkSignature } from "./check-signature.ts";
import { inTime } from "./in-time.ts";
import { type PageBoard, pageBoard } from "./page-board.ts";
import { textUpTo } from "./text-up-to.ts";

const PATIENCE_MS = 6000;
const MOST_TIME_BYTES = 1024;

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
  const answer = await ask("/api/board", etag === null ? {} : { "If-None-Match": etag });
  const seconds = Number(answer.headers.get("Retry-After"));
  return {
    status: answer.status,
    // What is too much is no document either: refused as such.
    text: answer.status === 200 ? ((await textUpTo(answer, MOST_BOARD_BYTES)) ?? "") : "",
    etag: answer.headers.get("ETag"),
    retryAfterMs: seconds > 0 ? seconds * 1000 : 0,
  };
}

/** Asked under another address each time: no cache on the way can have the answer, whatever it was told. */
async function askTime(regular: boolean): Promise<unknown> {
  const answer = await ask(`/api/time?${regular ? "minute" : "first"}=${Math.random()}`);
  if (!answer.ok) throw new Error("no time");
  return JSON.parse((await textUpTo(answer, MOST_TIME_BYTES)) ?? "");
}

/** Whoever sends us on elsewhere does not answer. */
function ask(path: string, headers: Record<string, string> = {}): Promise<Response> {
  return fetch(path, {
    headers,
    cache: "no-store",
    credentials: "omit",
    redirect: "error",
    signal: inTime(PATIENCE_MS),
  });
}
