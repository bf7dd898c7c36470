/** When to leave, and what a move did to each rig: arithmetic by hand. */
import { describe, expect, test } from "vitest";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { latestDeparture } from "../../../../shared/plan/places/departure.ts";
import { whatMoved } from "../../../../shared/plan/places/what-moved.ts";
import { utcMs } from "../../../../shared/time/instants.ts";

const at = (text: string) => utcMs(Date.parse(text));
const contacts = { c1: null, c2: null, max: null, c3: null, c4: null };

describe("the latest departure", () => {
  const needs = { driveMin: 95, setUpMin: 80, marginMin: 25 };

  test("is C2 less drive, set-up and margin", () => {
    // 95 + 80 + 25 min = 3 h 20 min before 10:02:07.
    const c2 = at("2027-08-02T10:02:07Z");
    expect(
      latestDeparture({ contacts: { ...contacts, c2, max: at("2027-08-02T10:05:00Z") } }, needs),
    ).toEqual({ anchor: "C2", utcMs: at("2027-08-02T06:42:07Z") });
  });

  test("may lie on the day before", () => {
    // 26 h of driving, 80 min and 25 min: 27 h 45 min before 10:02:07.
    const c2 = at("2027-08-02T10:02:07Z");
    expect(latestDeparture({ contacts: { ...contacts, c2 } }, { ...needs, driveMin: 26 * 60 })?.utcMs).toBe(
      at("2027-08-01T06:17:07Z"),
    );
  });

  test("counts from maximum where there is no C2, and is not said where it cannot be", () => {
    const max = at("2027-08-02T10:05:00Z");
    expect(latestDeparture({ contacts: { ...contacts, max } }, needs)).toEqual({
      anchor: "max",
      utcMs: at("2027-08-02T06:45:00Z"),
    });
    expect(latestDeparture({ contacts: { ...contacts, max } }, { ...needs, driveMin: null })).toBeNull();
    expect(latestDeparture({ contacts }, needs)).toBeNull();
  });
});

describe("what a move did to a rig", () => {
  const cue = (id: string, part: Partial<Cue> = {}): Cue => ({
    id,
    key: null,
    anchor: "C2",
    offsetS: 0,
    action: "exposure",
    say: null,
    on: true,
    confirm: false,
    earliestS: 0,
    latestS: 5,
    countInS: 0,
    handsS: 3,
    repeat: null,
    ...part,
  });

  test("is told by cues that came, went and changed, and by its filter", () => {
    const before = [{ id: "west", cues: [cue("focus"), cue("off", { action: "filter-off" }), cue("burst")] }];
    const after = [{ id: "west", cues: [cue("focus"), cue("burst", { offsetS: 9 }), cue("series")] }];
    const note = { code: "cues-derived", rigId: "west", data: {} } as const;
    expect(whatMoved(before, after, [note, { ...note, rigId: "other" }])).toEqual([
      {
        rigId: "west",
        added: ["series"],
        gone: ["off"],
        changed: ["burst"],
        opened: true,
        opens: false,
        notes: [note],
      },
    ]);
  });
});
