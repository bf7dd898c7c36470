/**
 * Pages that mix time scales do not compile, as in tests/shared/time/instants.test.ts: sounds are put
 * on the page's monotonic clock from UTC, the board counts in run time.
 */
import { expect, test } from "vitest";
import { type BoardView, boardView, glassesOnAfter } from "../../console/board/board-view.ts";
import { practiceOn, runTimeOf } from "../../console/board/run-clock.ts";
import type { DeskPorts } from "../../console/rig/sound/audio-desk.ts";
import { type SoundInput, soundPlan } from "../../console/rig/sound/sound-plan.ts";
import { boardSnapshot } from "../../hub/feeds/board-snapshot.ts";
import { GOOD_CLOCK } from "../../shared/run/doubt.ts";
import { EMPTY_STATE } from "../../shared/run/state.ts";
import { type MonoMs, monoMs, type RunMs, runMs, type UtcMs, utcMs } from "../../shared/time/instants.ts";

const now = utcMs(1_000_000);
const run = runMs(1_000_000);
const KNOWN = { boundMs: 0, linked: true, cover: false };

test("sounds come at UTC and are due on the monotonic clock", () => {
  const input: SoundInput = {
    lines: [],
    practice: null,
    nowUtcMs: now,
    totalityUtcMs: null,
    coverUtcMs: now,
    rungUtcMs: null,
    say: () => "",
    ready: "",
    cover: "cover",
    lengthOf: () => 1000,
  };
  const at: UtcMs | undefined = soundPlan(input)[0]?.atUtcMs;
  // @ts-expect-error a sound's instant is no run time
  const wrong: RunMs | undefined = soundPlan(input)[0]?.atUtcMs;
  // @ts-expect-error nor is the instant that it is planned at
  expect(soundPlan({ ...input, nowUtcMs: run })[0]?.atUtcMs).toBe(at);
  expect(wrong).toBe(at);
  const monoAt: DeskPorts["monoAt"] = (utc) => monoMs(utc - now);
  const due: MonoMs = monoAt(now);
  // @ts-expect-error run time
  expect(monoAt(run)).toBe(due);
});

test("the board counts in run time", () => {
  const snapshot = boardSnapshot(EMPTY_STATE, now, GOOD_CLOCK);
  const view: BoardView = boardView(snapshot, now, KNOWN);
  const shown: RunMs = view.runNowMs;
  // @ts-expect-error run time where the page's own clock is asked for
  expect(boardView(snapshot, run, KNOWN).runNowMs).toBe(shown);
  // @ts-expect-error the same of the practice that is on
  expect(practiceOn(null, run)).toBeNull();
  // @ts-expect-error what it gives is not UTC
  const wrong: UtcMs = runTimeOf(null, now);
  expect(wrong).toBe(shown);
  // @ts-expect-error a call is kept in run time
  expect(glassesOnAfter(view, snapshot, now)).toBe(now);
});
