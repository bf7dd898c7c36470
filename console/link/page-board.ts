/** A board's client as its page has it, whichever way what it shows arrives. */
import type { BoardClientView } from "../../shared/link/board-client.ts";
import type { ClockReading } from "../../shared/link/session-types.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import { followPage, offerClock } from "./page-life.ts";

export interface PageBoard {
  subscribe(listener: () => void): () => void;
  view(): BoardClientView;
  /** Real UTC by the eclipse clock, ms with fraction. */
  now(): UtcMs;
  reading(): ClockReading;
  /** How far what contradicts the time it goes by is from it, ms. */
  apartMs(): number;
  close(): void;
}

/** What a page needs of a client; shared/link has two. */
interface Client extends Pick<PageBoard, "subscribe" | "view" | "reading" | "apartMs"> {
  start(): void;
  stop(): void;
  wake(): void;
  noteSuspension(): void;
}

/** Starts a client, and tells it what happens to the page until it is closed. */
export function pageBoard(client: Client): PageBoard {
  const reading = () => client.reading();
  offerClock(reading);
  const unfollow = followPage(client);
  client.start();
  return {
    subscribe: (listener) => client.subscribe(listener),
    view: () => client.view(),
    now: () => reading().utcMs,
    reading,
    apartMs: () => client.apartMs(),
    close() {
      unfollow();
      client.stop();
    },
  };
}
