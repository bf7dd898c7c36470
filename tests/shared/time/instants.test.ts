/**
 * Mixing time scales does not compile: each `@ts-expect-error` here is an error of `tsc` by itself
 * when the line beneath it is none. What runs is only what the functions give.
 */
import { describe, expect, test } from "vitest";
import { cueOccurrencesMs } from "../../../shared/plan/cue-times.ts";

import { isExposed } from "../../../shared/run/alerts/exposure.ts";
import { cueTimeline } from "../../../shared/run/cues/cue-timeline.ts";
import { mayBeOff, timesByTheClock } from "../../../shared/run/cues/rig-times.ts";
import { effectiveContacts, nextContact } from "../../../shared/run/effective-contacts.ts";
import { practiceAt, runTime, utcOfRun } from "../../../shared/run/run-time.ts";
import { EMPTY_STATE } from "../../../shared/run/state.ts";
import {
  earliest,
  later,
  latest,
  monoMs,
  type RunMs,
  runMs,
  type UtcMs,
  utcMs,
} from "../../../shared/time/instants.ts";

const utc = utcMs(1000);
const run = runMs(2000);
const mono = monoMs(3000);
const contacts = effectiveContacts(null, { shifts: {}, calls: [] });
const times = timesByTheClock(contacts);

describe("an instant", () => {
  test("stays on its scale when it is moved or compared", () => {
    const moved: RunMs = later(run, 500);
    const first: UtcMs = earliest(utc, later(utc, -1));
    const last: RunMs = latest(run, moved);
    expect([moved, first, last]).toEqual([2500, 999, 2500]);
    expect([latest<RunMs>(), earliest<RunMs>()]).toEqual([-Infinity, Infinity]);
  });

  test("of one scale is no instant of another", () => {
    // @ts-expect-error UTC is not run time
    const a: RunMs = utc;
    // @ts-expect-error run time is not UTC
    const b: UtcMs = run;
    // @ts-expect-error a monotonic reading is neither
    const c: UtcMs = mono;
    // @ts-expect-error nor is a bare number an instant
    const d: RunMs = 5;
    // @ts-expect-error the first of two scales is nothing
    const e: number = earliest(run, utc);
    // @ts-expect-error what was moved is still run time
    const f: UtcMs = later(run, 1);
    expect([a, b, c, d, e, f]).toEqual([1000, 2000, 3000, 5, 1000, 2001]);
  });

  test("goes from UTC to run time and back by the run alone", () => {
    expect(utcOfRun(null, runTime(null, utc))).toBe(utc);
    // @ts-expect-error run time where UTC is asked for
    expect(runTime(null, run)).toBe(run);
    // @ts-expect-error UTC where run time is asked for
    expect(utcOfRun(null, utc)).toBe(utc);
    // @ts-expect-error a practice ends by the real clock
    expect(practiceAt(EMPTY_STATE, run)).toBeNull();
  });
});

describe("what a run derives", () => {
  test("is run time: contacts, filters, exposure", () => {
    const c2: RunMs | null = contacts.filterC2;
    // @ts-expect-error effective contacts are run time
    const wrong: UtcMs | null = contacts.c2;
    expect([c2, wrong]).toEqual([null, null]);
    // @ts-expect-error UTC
    expect(nextContact(contacts, utc)).toBeNull();
    // @ts-expect-error UTC
    expect(mayBeOff(null, times, utc)).toBe(false);
    // @ts-expect-error a monotonic reading
    expect(isExposed(EMPTY_STATE, contacts, mono)).toBe(false);
  });

  test("and so are the cues of a rig; those of a plan stand on the scale of its contacts", () => {
    const due: RunMs[] = cueTimeline({ cues: [] }, contacts).map(({ dueMs }) => dueMs);
    // @ts-expect-error cues of a run are no UTC
    const wrong: UtcMs[] = cueTimeline({ cues: [] }, contacts).map(({ toMs }) => toMs);
    const none = { c1: null, c2: utc, max: null, c3: null, c4: null };
    const cue = { anchor: "C2", offsetS: 2, repeat: null } as const;
    const planned: UtcMs[] = cueOccurrencesMs<UtcMs>(cue, none);
    // @ts-expect-error contacts in UTC give no run time
    const mixed: RunMs[] = cueOccurrencesMs(cue, none);
    expect([due, wrong, planned, mixed]).toEqual([[], [], [3000], [3000]]);
  });
});
