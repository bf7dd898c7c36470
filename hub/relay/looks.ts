/**
 * How many boards are looking, and how hard it is for this process. Numbers alone: no address, no
 * name, no cookie is kept or looked at.
 *
 * Boards fetch every ten seconds (quicker near contacts) and ask for the time once a minute. Behind
 * a cache only the questions for the time arrive, which nothing may answer instead of us; without
 * one both do. Whichever count is larger is the truer one.
 */
const LOOKS_WINDOW_MS = 10_000;
const TIMES_WINDOW_MS = 60_000;
const SLOT_MS = 1000;
/** The event loop busy for more than this share of the time is hard work: boards are asked to come half as often. */
const BUSY = 0.7;
const CALM = 0.3;
const CALM_FOR_MS = 15_000;

/** Adds up what came within the last so many ms, in slots of a second. */
class Window {
  private readonly slots: { at: number; count: number }[] = [];

  constructor(private readonly lengthMs: number) {}

  add(nowMs: number, count: number): void {
    const at = Math.floor(nowMs / SLOT_MS);
    const last = this.slots.at(-1);
    if (last?.at === at) last.count += count;
    else this.slots.push({ at, count });
    this.drop(nowMs);
  }

  /** Fewer than the length since the start stand for the whole. */
  sum(nowMs: number): number {
    this.drop(nowMs);
    return this.slots.reduce((sum, { count }) => sum + count, 0);
  }

  private drop(nowMs: number): void {
    const oldest = Math.floor((nowMs - this.lengthMs) / SLOT_MS);
    while (this.slots[0] && this.slots[0].at <= oldest) this.slots.shift();
  }
}

export class Looks {
  private readonly boards = new Window(LOOKS_WINDOW_MS);
  private readonly times = new Window(TIMES_WINDOW_MS);

  constructor(private readonly monoMs: () => number = () => performance.now()) {}

  /** @param gapMs how often a board comes just now (shared/link/board-pace.ts): near contacts more often, slower under strain */
  noteBoard(gapMs = LOOKS_WINDOW_MS): void {
    this.boards.add(this.monoMs(), gapMs / LOOKS_WINDOW_MS);
  }

  /** One of the regular questions for the time, one a minute and board. */
  noteTime(): void {
    this.times.add(this.monoMs(), 1);
  }

  count(): number {
    const now = this.monoMs();
    return Math.round(Math.max(this.boards.sum(now), this.times.sum(now)));
  }
}

/** 1, 2 or 4: how slow the field is asked to be. Rises at once, falls after a quiet while. */
export class Strain {
  private slow = 1;
  private calmSince: number | undefined;
  private last = performance.eventLoopUtilization();

  /** Called every second or so: looks at how busy the event loop has been since. */
  look(nowMs: number = performance.now()): number {
    const { utilization } = performance.eventLoopUtilization(this.last);
    this.last = performance.eventLoopUtilization();
    return this.judge(utilization, nowMs);
  }

  /** @param busy share of the time, 0 … 1 */
  judge(busy: number, nowMs: number): number {
    if (busy > BUSY) {
      this.slow = Math.min(4, this.slow * 2);
      this.calmSince = undefined;
    } else if (busy > CALM) this.calmSince = undefined;
    else {
      this.calmSince ??= nowMs;
      if (nowMs - this.calmSince >= CALM_FOR_MS) {
        this.slow = Math.max(1, this.slow / 2);
        this.calmSince = nowMs;
      }
    }
    return this.slow;
  }
}
