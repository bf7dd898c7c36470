/** The board's run time: UTC, or the practice's shifted and scaled time until its latest end (S8). */
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import { later, type RunMs, runMs, type UtcMs, utcMs } from "../../shared/time/instants.ts";

type BoardPractice = NonNullable<BoardSnapshot["practice"]>;

/** The practice that is on at an instant; null once its latest end has passed, with or without news. */
export function practiceOn(practice: BoardPractice | null, nowUtcMs: UtcMs): BoardPractice | null {
  return practice && nowUtcMs < practice.endsAtUtcMs ? practice : null;
}

export function runTimeOf(practice: BoardPractice | null, nowUtcMs: UtcMs): RunMs {
  const on = practiceOn(practice, nowUtcMs);
  return on ? later(on.startRunMs, (nowUtcMs - on.startedUtcMs) * on.rate) : runMs(nowUtcMs);
}

/** When run time comes to an instant, while the practice that is on at `nowUtcMs` is. */
export function utcOfRunAt(practice: BoardPractice | null, nowUtcMs: UtcMs, at: RunMs): UtcMs {
  const on = practiceOn(practice, nowUtcMs);
  return on ? later(on.startedUtcMs, (at - on.startRunMs) / on.rate) : utcMs(at);
}
