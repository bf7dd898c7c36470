/**
 * One word for every cue (shared/run/cues/manner.ts): in every state that bears on it, phone,
 * array, sounds, board and simulated operator say and do the same. What each state asks for is
 * the safety rules' (S2, S5–S8, S10, S11, S13); numbers in them are common practice, no source.
 */
import "../../console/words/bundles/common.ts";
import "../../console/words/bundles/plan.ts";
import { describe, expect, test } from "vitest";
import { boardView } from "../../console/board/board-view.ts";
import { putWords } from "../../console/parts/words-for-cue.ts";
import { soundPlan } from "../../console/rig/sound/sound-plan.ts";
import { boardSnapshot } from "../../hub/feeds/board-snapshot.ts";
import { Habit } from "../../hub/people/habit.ts";
import { type CueManner, isHeld } from "../../shared/run/cues/manner.ts";
import { type ClockHealth, GOOD_CLOCK } from "../../shared/run/doubt.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import { NOBODY } from "../../shared/run/views/presence.ts";
import { viewRun } from "../../shared/run/views/run-view.ts";
import { utcMs } from "../../shared/time/instants.ts";
import { PALM_FIELD, RIGS, SiteWorld } from "../shared/run/site-world.ts";
import { sceneOf } from "./rig/rig-world.ts";

const S = 1000;
/** Noon and midnight at the site, some days before its eclipse. */
const NOON = Date.UTC(2027, 6, 25, 10);
const MIDNIGHT = Date.UTC(2027, 6, 25);

interface Case {
  what: string;
  /** Seconds from C2 at which everybody is asked. */
  atS: number;
  /** What filter-off is said as, and "look up" of the wide camera where it is asked for. */
  filterOff?: CueManner;
  lookUp?: CueManner;
  practice?: number;
  clock?: Partial<ClockHealth>;
  site?: Record<string, unknown>;
  before?: (world: SiteWorld, nowMs: number) => void;
  unknown?: boolean;
}

const call = (name: "totality" | "stay filtered" | "sun returns") => (world: SiteWorld, now: number) =>
  void world.order({ type: "call", call: name }, now);

const CASES: Case[] = [
  { what: "nothing in the way", atS: -15, filterOff: "plain" },
  { what: "the clock's bound over a second", atS: 1, filterOff: "by-eye", clock: { hubBoundMs: 3000 } },
  { what: "a witness against the clock", atS: 1, filterOff: "by-eye", clock: { apartMs: 90_000 } },
  { what: "a site nobody confirmed", atS: 1, filterOff: "by-eye", site: { confirmed: false } },
  {
    what: "in doubt, and the lead sees totality",
    atS: 2,
    filterOff: "plain",
    clock: { hubBoundMs: 3000 },
    before: (world, now) => call("totality")(world, now - S),
  },
  { what: "nobody has said what the filter is", atS: -15, filterOff: "filter-first", unknown: true },
  {
    what: "overcast",
    atS: -15,
    filterOff: "overcast",
    before: (world, now) => void world.report("west", { sky: "overcast" }, { at: now - S }),
  },
  {
    what: "stay filtered",
    atS: -15,
    filterOff: "stay",
    before: (w, now) => call("stay filtered")(w, now - S),
  },
  {
    what: "the Sun's return was called",
    atS: -15,
    filterOff: "stay",
    before: (w, now) => call("sun returns")(w, now - S),
  },
  {
    what: "every lens is covered",
    atS: -15,
    filterOff: "covered",
    before: (world, now) => void world.order({ type: "cover" }, now - S),
  },
  {
    what: "the cover was released just now",
    atS: -15,
    filterOff: "by-eye",
    before: (world, now) => {
      world.order({ type: "cover" }, now - 20 * S);
      world.order({ type: "releaseCover" }, now - S);
    },
  },
  { what: "practice under the real Sun", atS: -15, filterOff: "touch", practice: NOON },
  { what: "practice at night", atS: -15, filterOff: "plain", practice: MIDNIGHT },
  {
    what: "practice, the rig points away",
    atS: -15,
    filterOff: "plain",
    practice: NOON,
    before: (world, now) => void world.report("west", { practiceSafe: true }, { at: now }),
  },
  {
    what: "totality seen, near its maximum",
    atS: 178,
    lookUp: "plain",
    before: (w, now) => call("totality")(w, now - 60 * S),
  },
  { what: "near maximum by the clock, nobody has called", atS: 178, lookUp: "by-eye" },
  { what: "near maximum by the clock, in doubt", atS: 178, lookUp: "by-eye", clock: { hubBoundMs: 3000 } },
  {
    what: "stay filtered, near maximum",
    atS: 178,
    lookUp: "stay",
    before: (w, now) => call("stay filtered")(w, now - S),
  },
  { what: "practice, near maximum", atS: 178, lookUp: "rehearsed", practice: MIDNIGHT },
];

describe.each(CASES)(
  "$what",
  ({ atS: given, filterOff, lookUp, practice, clock = {}, site = {}, before, unknown }) => {
    const world = SiteWorld.planned({ site: { ...PALM_FIELD, ...site }, rigs: RIGS });
    const { c2, max } = world.predicted;
    // "Look up" of the wide camera comes at maximum.
    const atS = lookUp ? (max - c2) / S + 1 : given;
    const nowMs = practice ?? c2 + atS * S;
    world.clock = { ...GOOD_CLOCK, ...clock };
    if (!unknown) world.report("west", { filter: "on" }, { at: nowMs - 3600 * S });
    if (practice !== undefined) world.practise(nowMs, atS);
    before?.(world, nowMs);

    const rigId = filterOff ? "west" : "wide";
    const cueId = filterOff ? "filter-off" : "look-up";
    const wanted = filterOff ?? lookUp;
    const { hubBoundMs } = world.clock;
    const scene = sceneOf(world, nowMs, [rigId], { boundMs: 0, utcBoundMs: hubBoundMs });
    const line = scene.picture.lines.find(({ id }) => id === cueId);
    const view = viewRun(world.state, NOBODY, world.clock, utcMs(nowMs));
    const status = view.rigs.find(({ rig }) => rig.id === rigId);
    const ofArray = status?.cues.find(({ id }) => id === cueId);

    test("the phone says it so", () => {
      expect(line?.mode).toBe(wanted);
    });

    test("the array says what the phone says, in its words", () => {
      expect(ofArray?.mode).toBe(wanted);
      if (line && ofArray) expect(putWords(ofArray)).toBe(putWords(line));
    });

    test("the words unfilter only where the manner is plain", () => {
      const words = line ? putWords(line) : "";
      const unfilters = /^(take the filter off|look up)\.?$/i.test(words);
      expect(unfilters).toBe(wanted === "plain");
    });

    test("no sound counts in what is held, and what is spoken is what is shown", () => {
      const heard = soundPlan({
        lines: line ? [line] : [],
        practice: practiceAt(world.state, utcMs(nowMs)),
        nowUtcMs: utcMs(nowMs - 30 * S),
        totalityUtcMs: null,
        coverUtcMs: null,
        rungUtcMs: null,
        say: putWords,
        ready: "ready",
        cover: "cover",
        lengthOf: () => 1000,
      }).filter(({ cueId: of }) => of === line?.key);
      const spoken = heard.flatMap(({ saying }) => (saying && saying !== "ready" ? [saying] : []));
      for (const saying of spoken) expect(saying).toBe(line && putWords(line));
      if (wanted && isHeld(wanted)) expect(heard.filter(({ kind }) => kind !== "words")).toEqual([]);
    });

    test("the simulated operator opens only where it is plain", () => {
      if (!status || !filterOff) return expect(wanted).toBe(lookUp);
      const person = {
        rigId,
        device: "phone",
        reactionS: [0, 0] as const,
        card: null,
        battery: { startPct: 90, perMinutePct: 0 },
        moments: [],
      };
      const start = { runId: "x", startRunMs: view.runNow - 600 * S } as never;
      const habit = new Habit(person, start, status.rig);
      const scenes = { state: world.state, view, status, cover: world.state.cover !== null };
      habit.act({ ...scenes, now: utcMs(nowMs) });
      // Long after its reaction: all it does by now.
      const done = habit.act({
        ...scenes,
        now: utcMs(nowMs),
        view: { ...view, runNow: (view.runNow + 9 * S) as never },
      });
      const opens = done.some(({ cueDone }) => cueDone === "filter-off");
      expect(opens).toBe(wanted === "plain" || wanted === "touch");
    });

    test("the board takes glasses off only where “look up” would be plain", () => {
      const snapshot = boardSnapshot(world.state, utcMs(nowMs), world.clock);
      const known = { boundMs: 0, linked: true, cover: snapshot.cover };
      const { glasses } = boardView(snapshot, utcMs(nowMs), known);
      if (lookUp) expect(glasses).toBe(lookUp === "plain" ? "off" : "on");
      else if (glasses === "off") expect(wanted).toBe("plain");
    });
  },
);
