/**
 * What is heard when. Pips in the manner of radio time signals (short ones, a long one on the
 * second itself): common practice, from memory. One voice at a time, urgent before near: the
 * project's own rules, quoted from sound-plan.ts.
 */
import { describe, expect, it } from "vitest";
import {
  HORIZON_MS,
  type PlannedSound,
  type SoundInput,
  soundPlan,
} from "../../../../console/rig/sound/sound-plan.ts";
import { utcOfRun } from "../../../../shared/run/run-time.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";
import { S, sceneOf } from "../rig-world.ts";

const WORDS_MS = 1500;

function plan(world: SiteWorld, now: number, rigIds = ["west"], rest: Partial<SoundInput> = {}, bounds = {}) {
  const scene = sceneOf(world, now, rigIds, bounds);
  const { c2, c3 } = scene.view.contacts;
  return soundPlan({
    lines: scene.picture.lines,
    practice: scene.practice,
    nowUtcMs: utcMs(now),
    totalityUtcMs:
      c2 !== null && c3 !== null
        ? { from: utcOfRun(scene.practice, c2), to: utcOfRun(scene.practice, c3) }
        : null,
    coverUtcMs: null,
    rungUtcMs: null,
    say: (line) => `${line.mode} ${line.cue.id}`,
    ready: "ready",
    cover: "cover",
    lengthOf: () => WORDS_MS,
    ...rest,
  });
}

function ready(rigIds = ["west", "eye"]): SiteWorld {
  const world = SiteWorld.planned();
  for (const id of rigIds) world.report(id, { filter: "on" }, { at: world.predicted.c1 - 3600 * S });
  return world;
}

const of = (sounds: PlannedSound[], cueId: string, kind?: string) =>
  sounds.filter((sound) => sound.cueId === cueId && (!kind || sound.kind === kind));

describe("the sound plan", () => {
  it("counts a filter-off in with a pip on each of its last ten seconds and a long one on it", () => {
    const world = ready();
    const due = world.predicted.c2 - 20 * S;
    const sounds = plan(world, due - 30 * S);
    expect(of(sounds, "west/filter-off", "pip").map((pip) => due - pip.atUtcMs)).toEqual(
      [10, 9, 8, 7, 6, 5, 4, 3, 2, 1].map((s) => s * S),
    );
    expect(of(sounds, "west/filter-off", "long-pip").map((pip) => pip.atUtcMs)).toEqual([due]);
    const words = of(sounds, "west/filter-off", "words");
    expect(words.map((sound) => sound.saying)).toEqual(["ready", "plain filter-off"]);
    // The order itself is never spoken before its second.
    expect(words[1]?.atUtcMs).toBeGreaterThan(due);
    expect((words[0]?.atUtcMs ?? 0) + WORDS_MS).toBeLessThan(due - 10 * S);
  });

  it("S5: gives no pip to act on for a filter-off in doubt", () => {
    const world = ready();
    const due = world.predicted.c2 - 20 * S;
    const sounds = of(plan(world, due - 30 * S, ["west"], {}, { boundMs: 1500 }), "west/filter-off");
    expect(sounds.map((sound) => [sound.kind, sound.saying])).toEqual([["words", "by-eye filter-off"]]);
  });

  it("S7: while 'cover every lens' stands only it and what makes safe is heard", () => {
    const world = ready();
    const { c2, c3 } = world.predicted;
    const before = plan(world, c2 - 40 * S, ["west"], { coverUtcMs: utcMs(c2 - 40 * S) }, { cover: true });
    expect(new Set(before.map((sound) => sound.cueId))).toEqual(new Set(["cover"]));
    expect(before[0]?.kind).toBe("alarm");
    expect((before[0]?.atUtcMs ?? 0) - (c2 - 40 * S)).toBeLessThan(200);
    const after = plan(world, c3, ["west"], { coverUtcMs: utcMs(c3) }, { cover: true });
    expect(of(after, "west/filter-on").length).toBeGreaterThan(0);
  });

  it("drops the sounds of a cue once it is marked", () => {
    const world = ready();
    const due = world.predicted.c2 - 20 * S;
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: due - 8 * S });
    expect(of(plan(world, due - 7 * S), "west/filter-off")).toEqual([]);
  });

  it("follows a shift of a contact", () => {
    const world = ready();
    const { c2 } = world.predicted;
    world.order({ type: "shiftContact", contact: "c2", shiftS: 7 }, c2 - 300 * S);
    const [long] = of(plan(world, c2 - 40 * S), "west/filter-off", "long-pip");
    expect(long?.atUtcMs).toBeCloseTo(c2 - 13 * S, 6);
  });

  it("says a late filter-on again every ten seconds, and stops when it is on", () => {
    const world = ready();
    const { c2, c3 } = world.predicted;
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: c2 - 19 * S });
    const again = of(plan(world, c3 + 12 * S), "west/filter-on", "words").map((sound) => sound.atUtcMs - c3);
    expect(again.slice(0, 3)).toEqual([15 * S, 25 * S, 35 * S]);
    world.report("west", { cueDone: "filter-on", filter: "on" }, { at: c3 + 16 * S });
    expect(of(plan(world, c3 + 17 * S), "west/filter-on")).toEqual([]);
  });

  describe("S5, S6: what makes safe and is due at once", () => {
    /** Both are open in totality; looks before and after something, with one memory. */
    const open = (called = true) => {
      const world = ready();
      const { c2 } = world.predicted;
      if (called) world.order({ type: "call", call: "totality" }, c2);
      for (const id of ["west", "eye"]) world.report(id, { filter: "off" }, { at: c2 + 11 * S });
      const said = new Map();
      const look = (at: number, bounds = {}) => plan(world, at, ["west", "eye"], { said }, bounds);
      /** The same words of two rigs are said once, be it as one's or as the other's. */
      const words = (sounds: PlannedSound[], cue: string, from: number) =>
        sounds
          .filter(({ cueId, kind }) => cueId.endsWith(cue) && kind === "words")
          .map(({ atUtcMs }) => (atUtcMs - from) / S)[0];
      return { world, look, words, at: c2 + 40 * S };
    };

    it("is said at once when the Sun's return is called, though the call has been on its way", () => {
      const { world, look, words, at } = open();
      look(at);
      world.order({ type: "call", call: "sun returns" }, at + S);
      // Heard 0.4 s later; the next looks leave it where it is.
      for (const now of [at + 1.4 * S, at + 1.42 * S, at + 1.49 * S]) {
        const sounds = look(now);
        expect(words(sounds, "/eyes-away", at + 1.4 * S)).toBeLessThan(0.8);
        expect(words(sounds, "/filter-on", at + 1.4 * S)).toBeLessThan(2.5);
      }
      // Once said, it is said again in its own time, and not at each look.
      expect(words(look(at + 4 * S), "/eyes-away", at)).toBeUndefined();
      expect(words(look(at + 4 * S), "/filter-on", at)).toBeGreaterThan(11);
    });

    it("is said at once when a doubt puts it minutes back", () => {
      const { look, words, at } = open(false);
      const late = at + 100 * S;
      look(late);
      const sounds = look(late + S, { utcBoundMs: 400 * S });
      expect(words(sounds, "/eyes-away", late + S)).toBeLessThan(0.8);
      expect(words(sounds, "/filter-on", late + S)).toBeLessThan(2.5);
    });

    it("is said at once on a page that is opened while it waits", () => {
      const { world, look, words, at } = open();
      world.order({ type: "call", call: "sun returns" }, at);
      expect(words(look(at + 13 * S), "/filter-on", at + 13 * S)).toBeLessThan(2.5);
    });
  });

  it("never lets two voices speak at once, at any instant of two rigs' day", () => {
    const world = ready();
    const { c2, c3 } = world.predicted;
    for (let now = c2 - 120 * S; now < c3 + 120 * S; now += 7 * S) {
      const words = plan(world, now, ["west", "eye", "wide"]).filter((sound) => sound.kind === "words");
      for (const [index, sound] of words.entries()) {
        const next = words[index + 1];
        if (next) expect(next.atUtcMs).toBeGreaterThanOrEqual(sound.atUtcMs + sound.lengthMs);
      }
    }
  });

  it("never runs one count-in through another: the long pip that follows a pip is its own", () => {
    const world = ready();
    const { c2, c3 } = world.predicted;
    for (let now = c2 - 120 * S; now < c3 + 120 * S; now += 13 * S) {
      let counting: string | null = null;
      for (const sound of plan(world, now, ["west", "eye", "wide"])) {
        if (sound.kind === "pip") {
          expect(counting === null || counting === sound.cueId).toBe(true);
          counting = sound.cueId;
        } else if (sound.kind === "long-pip") {
          if (counting !== null) expect(sound.cueId).toBe(counting);
          counting = null;
        }
      }
    }
  });

  it("lets the filter win over an exposure at the same moment", () => {
    const world = ready();
    const { c3 } = world.predicted;
    const scene = sceneOf(world, c3 - 30 * S);
    const on = scene.picture.lines.find((line) => line.cue.action === "filter-on");
    const other = scene.picture.lines.find((line) => line.cue.id === "burst-after");
    if (!on || !other) throw new Error("no such cues");
    const sounds = soundPlan({
      lines: [{ ...other, dueMs: on.dueMs, cue: { ...other.cue, countInS: 0 } }, on],
      practice: null,
      nowUtcMs: utcMs(c3 - 30 * S),
      totalityUtcMs: null,
      coverUtcMs: null,
      rungUtcMs: null,
      say: (line) => line.cue.id,
      ready: "ready",
      cover: "cover",
      lengthOf: () => 4000,
    });
    const first = sounds.filter((sound) => sound.kind === "words" && sound.saying !== "ready")[0];
    expect(first?.saying).toBe("filter-on");
  });

  it("gives the same instants however late it is asked, so that a sound keeps its place", () => {
    const world = ready();
    const due = world.predicted.c2 - 20 * S;
    const whole = plan(world, due - 40 * S, ["west", "wide"]);
    for (let now = due - 39 * S; now < due + 10 * S; now += 1 * S) {
      const later = plan(world, now, ["west", "wide"]);
      const expected = whole.filter((sound) => sound.atUtcMs > now);
      const within = later.filter((sound) => sound.atUtcMs < due - 40 * S + HORIZON_MS);
      expect(within.map((sound) => [sound.id, sound.atUtcMs])).toEqual(
        expected.map((sound) => [sound.id, sound.atUtcMs]),
      );
    }
  });

  it("S8: counts a practice in by real seconds at any rate", () => {
    const world = ready();
    const at = Date.UTC(2027, 6, 25);
    world.practise(at, -140, 4);
    const due = at + 30 * S;
    const sounds = plan(world, at + 15 * S);
    expect(of(sounds, "west/filter-off", "long-pip")[0]?.atUtcMs).toBeCloseTo(due, 3);
    const pips = of(sounds, "west/filter-off", "pip").map((pip) => Math.round(due - pip.atUtcMs));
    expect(pips).toContain(1000);
    expect(pips).toContain(5000);
  });
});
