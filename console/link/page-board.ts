/** A board's client as its page has it, whichever way what it shows arrives. */
import type { BoardClientView } from "../../shared/link/board-client.ts";
import type { ClockReading } from "../../shared/link/session-types.ts";
import type { UtcMs } from "../../shared/time/instants.ts";

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
