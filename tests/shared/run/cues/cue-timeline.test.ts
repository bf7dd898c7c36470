/** SPEC R3. */

import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type CueStanding, cueStates, type StateContext } from "../../../../shared/run/cues/cue-states.ts";
import { cueTimeline } from "../../../../shared/run/cues/cue-timeline.ts";
import { timesByTheClock } from "../../../../shared/run/cues/rig-times.ts";
import { runMs } from "../../../../shared/time/instants.ts";
import { RIGS, SiteWorld } from "../site-world.ts";

const S = 1000;
const HOUR = 3600 * S;
const world = SiteWorld.planned();
const now = Date.UTC(2027, 6, 25);
world.practise(now, -200);
const contacts = world.contacts(now);
const { c2, c3, c4 } = world.predicted;
const west = world.rig("west", now).rig;
const timeline = cueTimeline(west, contacts);

type Marks = StateContext["marks"];
type Filter = StateContext["filter"];
const mark = (value: "done" | "skipped" | "open", observedUtcMs = 0) =>
  ({ value, observedUtcMs }) as Marks[string];
const at = (
  when: number,
  marks: Marks = {},
  filter: Filter = null,
  list: Parameters<typeof cueStates>[0] = timeline,
  sunUp = true,
): CueStanding[] =>
  cueStates(list, {
    marks,
    markedAtMs: ({ observedUtcMs }) => runMs(observedUtcMs),
    runNow: runMs(when),
    contacts,
    times: timesByTheClock(contacts),
    filter,
    filtered: true,
    lookedThrough: false,
    touchOnly: false,
    sunUp,
    closeFromMs: null,
    sunUpFromMs: () => runMs(when),
  });
const stateOf = (views: readonly CueStanding[], id: string) => views.find((cue) => cue.id === id)?.state;

describe("R3: states of cues", () => {
  test("filter-off of a tracked telescope is due at C2−20 s", () => {
    expect(timeline.find((cue) => cue.id === "filter-off")?.dueMs).toBe(c2 - 20 * S);
  });

  test("a series has one instance each, numbered, at its own interval", () => {
    const series = timeline.filter((cue) => cue.cue.id === "partial-before");
    expect(series.length).toBeGreaterThan(5);
    expect(series.map((cue) => cue.id).slice(0, 3)).toEqual([
      "partial-before",
      "partial-before.2",
      "partial-before.3",
    ]);
    for (const [index, cue] of series.entries()) {
      expect(cue.dueMs).toBe((series[0]?.dueMs ?? 0) + index * 300 * S);
      expect(cue.dueMs).toBeLessThanOrEqual(c2 - 640 * S);
    }
  });

  test("before, at and after its time", () => {
    const off = c2 - 20 * S;
    expect(stateOf(at(off - 1), "filter-off")).toBe("next");
    expect(stateOf(at(off), "filter-off")).toBe("now");
    const toMs = timeline.find((cue) => cue.id === "filter-off")?.toMs ?? 0;
    expect(stateOf(at(toMs), "filter-off")).toBe("now");
    const late = at(toMs + 1).find((cue) => cue.id === "filter-off");
    expect(late).toMatchObject({ state: "late" });
    expect(late?.lateS).toBeCloseTo((toMs + 1 - off) / S, 6);
  });

  test("marked done or skipped it stays so; a mark taken back counts as none", () => {
    const late = c3 + 60 * S;
    expect(stateOf(at(late, { "filter-on": mark("done") }), "filter-on")).toBe("done");
    expect(stateOf(at(late, { "filter-on": mark("skipped") }), "filter-on")).toBe("skipped");
    expect(stateOf(at(late, { "filter-on": mark("open") }), "filter-on")).toBe("late");
  });

  test("S9: a filter-on is done only while the filter is known to be on by a word after the last off", () => {
    const late = c3 + 60 * S;
    const marks = { "filter-on": mark("done", c3) };
    const state = (word: "on" | "off" | "capped" | "unknown", saidMs: number, when = late) =>
      stateOf(at(when, marks, { state: word, saidMs: runMs(saidMs) }), "filter-on");
    expect(state("off", c3 + 8 * S)).toBe("late");
    expect(state("off", c2, c3 - S)).toBe("next");
    expect(state("unknown", c2)).toBe("late");
    expect(state("on", c3)).toBe("done");
    expect(state("capped", c3)).toBe("done");
  });

  test("a filter that was on throughout is asked for in its window, and is not late after it", () => {
    const on: Filter = { state: "on", saidMs: runMs(c2 - 600 * S) };
    const stateAt = (when: number) => stateOf(at(when, {}, on), "filter-on");
    expect(stateAt(c2 - 700 * S)).toBe("ahead");
    expect(stateAt(c3 + 6 * S)).toBe("now");
    expect(stateAt(c3 + 72 * S)).toBe("done");
  });

  test("S9: an open filter always has a filter-on cue, also where its list has none", () => {
    const without = timeline.filter(({ cue }) => cue.action !== "filter-on");
    const off: Filter = { state: "off", saidMs: runMs(c2) };
    expect(at(c2 + 5 * S, {}, off, without).filter(({ cue }) => cue.action === "filter-on")).toMatchObject([
      { id: "filter-on", state: "now" },
    ]);
    expect(
      stateOf(at(c2 + 5 * S, {}, { state: "on", saidMs: runMs(c2) }, without), "filter-on"),
    ).toBeUndefined();
  });

  test("a filter-off not done by C3 makes no sense any more; a filter-on stays late while the Sun is up", () => {
    expect(stateOf(at(c3 - 1), "filter-off")).toBe("late");
    expect(stateOf(at(c3), "filter-off")).toBe("skipped");
    expect(stateOf(at(c4), "filter-on")).toBe("late");
    expect(stateOf(at(c4 + 11 * HOUR), "filter-on")).toBe("late");
    expect(stateOf(at(c4 + 13 * HOUR), "filter-on")).toBe("skipped");
    expect(stateOf(at(c4, {}, null, timeline, false), "filter-on")).toBe("late");
    expect(stateOf(at(c4 + 1, {}, null, timeline, false), "filter-on")).toBe("skipped");
  });

  test("what makes sense in totality alone is let go when the Sun is called back before it", () => {
    const early = SiteWorld.planned();
    early.practise(now, 0, 1, "C2");
    early.order({ type: "call", call: "totality" }, now);
    early.order({ type: "call", call: "sun returns" }, now + 3 * S);
    const cues = (rigId: string) => early.rig(rigId, now + 5 * S).cues;
    // S3: the eyepiece's filter was to come off at C2+10 s; "look up" was to come near maximum.
    expect(stateOf(cues("eye"), "filter-off")).toBe("skipped");
    expect(stateOf(cues("west"), "filter-off")).toBe("skipped");
    expect(stateOf(cues("west"), "look-up")).toBe("skipped");
    expect(early.rig("eye", now + 10 * S).cueNow?.id).not.toBe("filter-off");
    expect(stateOf(cues("west"), "filter-on")).not.toBe("skipped");
  });

  test("a cue whose words take the filter off is held to what a filter-off is held to", () => {
    const dressed = {
      cues: west.cues.map((cue) => (cue.id === "filter-off" ? { ...cue, action: "burst" as const } : cue)),
    };
    expect(cueTimeline(dressed, contacts).find((item) => item.id === "filter-off")?.cue.action).toBe(
      "filter-off",
    );
  });

  test("a filter-on becomes late although the plan asks for no confirm", () => {
    const silent = { cues: west.cues.map((cue) => ({ ...cue, confirm: false })) };
    const views = at(c3 + 90 * S, {}, null, cueTimeline(silent, contacts));
    expect(stateOf(views, "filter-on")).toBe("late");
    expect(stateOf(views, "filter-off")).toBe("skipped");
  });

  test("a cue that asks for no confirm is let pass", () => {
    const burst = timeline.find((cue) => cue.id === "burst-before");
    expect(burst?.cue.confirm).toBe(false);
    expect(stateOf(at((burst?.toMs ?? 0) + 1), "burst-before")).toBe("skipped");
  });

  test("at any time at most one is next, all after it are ahead and none before it is", () => {
    fc.assert(
      fc.property(fc.integer({ min: -8000, max: 8000 }), (s) => {
        const views = at(c2 + s * S);
        const next = views.findIndex((cue) => cue.state === "next");
        expect(views.filter((cue) => cue.state === "next").length).toBeLessThanOrEqual(1);
        for (const [index, { state, dueMs }] of views.entries()) {
          if (next >= 0 && index > next) expect(state).toBe("ahead");
          if (index < next) expect(["now", "late", "skipped"]).toContain(state);
          if (dueMs > c2 + s * S) expect(["next", "ahead"]).toContain(state);
        }
      }),
    );
  });

  test("a cue switched off, or whose contact does not happen here, is not there", () => {
    const off = { ...west, cues: west.cues.map((cue) => ({ ...cue, on: cue.id !== "filter-off" })) };
    expect(cueTimeline(off, contacts).some((cue) => cue.id === "filter-off")).toBe(false);
    const nowhere = { ...contacts, c2: null, c3: null, filterC2: null, filterC3: null };
    expect(cueTimeline(west, nowhere).some((cue) => cue.cue.anchor === "C2")).toBe(false);
  });
});

describe("S5, S12: a C3 shifted earlier lets go of nothing that makes safe", () => {
  const screen = { id: "screen", name: "Screen", kind: "projection", filter: "none by design" } as const;
  const shifted = () => {
    const site = SiteWorld.planned({ rigs: [screen, ...RIGS] });
    for (const contact of ["c3", "c4"] as const)
      site.order({ type: "shiftContact", contact, shiftS: -600 }, c2 - 900 * S);
    const cue = (rigId: string, id: string, at: number) =>
      site.rig(rigId, at).cues.find((found) => found.id === id);
    return { site, cue };
  };

  test("a projection is uncapped no earlier than 60 s after the predicted C3", () => {
    expect(shifted().cue("screen", "projection-uncap", c2)?.dueMs).toBeGreaterThanOrEqual(c3 + 60 * S);
  });

  test("the cap of one that was never capped is waited for until then", () => {
    const { cue } = shifted();
    expect(cue("screen", "projection-cap", c3 + 59 * S)?.state).toBe("late");
    expect(cue("screen", "projection-cap", c3 + 61 * S)?.state).toBe("skipped");
  });

  test("a filter nobody has spoken of is asked for until C4 and while the Sun is up, however C4 is shifted", () => {
    const { cue } = shifted();
    expect(cue("west", "filter-on", c4 - S)?.state).toBe("late");
    expect(cue("west", "filter-on", c4 + S)?.state).toBe("late");
    // Night at the site.
    expect(cue("west", "filter-on", c4 + 10 * HOUR)?.state).toBe("skipped");
  });
});
