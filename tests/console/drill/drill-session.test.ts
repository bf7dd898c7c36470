/** A drill is a practice of one phone: nobody hears of it, and everything that must end it does (S7, S8). */
import { describe, expect, it } from "vitest";
import { DrillSession, mayDrill, type Segment } from "../../../console/drill/drill-session.ts";
import type { PageSession } from "../../../console/link/open-session.ts";
import type { SessionView } from "../../../shared/link/session-types.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { NOBODY } from "../../../shared/run/views/presence.ts";
import { viewRigs } from "../../../shared/run/views/run-view.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { asJson, SiteWorld } from "../../shared/run/site-world.ts";

const S = 1000;
/** Noon at the site, so that the real Sun is up. */
const NOON = Date.UTC(2027, 6, 25, 10);
const AROUND_C2: Segment = { from: { anchor: "C2", offsetS: -60 }, until: { anchor: "C2", offsetS: 40 } };

/** A phone of "west" on a world, whose clock is moved by hand; what it would send is kept. */
function phone(world = SiteWorld.planned(), at = NOON) {
  const self = { at, cover: false, sent: [] as unknown[] };
  let view: SessionView | null = null;
  const real = {
    subscribe: () => () => undefined,
    view: () => {
      const same = view?.state === world.state && view.cover === self.cover;
      if (!same) view = { state: world.state, cover: self.cover, queued: 0, rejected: [] } as never;
      return view as SessionView;
    },
    now: () => utcMs(self.at),
    report: async (...said: unknown[]) => void self.sent.push(said),
  } as unknown as PageSession;
  const start = (segment = AROUND_C2, rate = 1) => new DrillSession(real, segment, rate);
  const may = (segment = AROUND_C2) => mayDrill(real.view(), segment, utcMs(self.at));
  return { self, world, real, start, may };
}

const west = (drill: DrillSession, at: number) => {
  const { state } = drill.view();
  if (!state) throw new Error("nothing is known");
  const view = viewRigs(["west"], state, NOBODY, GOOD_CLOCK, utcMs(at));
  return { run: view.run, runNow: view.runNow, ...view.rigs[0] };
};

describe("a drill", () => {
  it("runs its own time from its contact on, and is touched only under the real Sun", async () => {
    const { self, world, start } = phone();
    const drill = start(AROUND_C2, 4);
    self.at += 5 * S;
    expect(west(drill, self.at).runNow).toBe(world.predicted.c2 - 40 * S);
    expect(west(drill, self.at)).toMatchObject({ touchOnly: true, run: { kind: "practice" } });
    expect(drill.touchOnly(["west"])).toEqual(["west"]);
    await drill.report("west", { practiceSafe: true });
    expect(west(drill, self.at).touchOnly).toBe(false);
    expect(drill.touchOnly(["west"])).toEqual([]);
  });

  it("is heard of by nobody, and leaves what is known of the site as it was", async () => {
    const { self, world, start, real } = phone();
    world.report("west", { filter: "on", looked: true }, { at: NOON - S });
    const before = asJson(world.state);
    const drill = start();
    self.at += 40 * S;
    await drill.report("west", { cueDone: "filter-off" });
    expect(west(drill, self.at).cues?.find(({ id }) => id === "filter-off")?.state).toBe("done");
    expect(self.sent).toEqual([]);
    expect(asJson(real.view().state)).toEqual(before);
    expect(asJson(world.state)).toEqual(before);
  });

  it("S9: tells that a filter is really off: under the real Sun as such, under a cap to be asked for", async () => {
    const { self, start } = phone();
    const drill = start();
    self.at += 5 * S;
    await drill.report("west", { filter: "off" });
    await drill.report("west", { filter: "on", looked: true });
    await drill.report("west", { practiceSafe: true });
    self.at += 35 * S;
    await drill.report("west", { cueDone: "filter-off" });
    await drill.report("west", { filter: "capped" });
    expect(self.sent).toEqual([
      ["west", { filter: "off" }],
      ["west", { filter: "on", looked: true }],
      ["west", { filter: "unknown" }],
      ["west", { filter: "capped" }],
    ]);
  });

  it("lets a call for help, and what else is said to the lead, out to the lead", async () => {
    const { self, start } = phone();
    const drill = start();
    self.at += 5 * S;
    await drill.report("west", { help: true });
    expect(west(drill, self.at).help?.value).toBe(true);
    await drill.report("west", { ready: "ready", filter: "on" });
    await drill.report("west", { messageSeen: "message-1" });
    expect(self.sent).toEqual([
      ["west", { help: true }],
      ["west", { ready: "ready" }],
      ["west", { messageSeen: "message-1" }],
    ]);
  });

  it("scores each cue of the phone's own rigs against its window, and says what is still off", async () => {
    const { self, start } = phone();
    const drill = start();
    await drill.report("west", { practiceSafe: true });
    // Due 20 s before C2 (defaults), 40 s after the start.
    self.at += 43 * S;
    await drill.report("west", { filter: "off", cueDone: "filter-off" });
    self.at += 60 * S;
    expect(drill.isOn()).toBe(false);
    const review = drill.review(["west"]);
    expect(review?.cues).toMatchObject([{ cueId: "filter-off", score: "on time" }]);
    expect(((review?.cues[0]?.doneRunMs ?? 0) - (review?.cues[0]?.dueRunMs ?? 0)) / S).toBe(3);
    expect(review?.filters[0]?.open.at(-1)).toMatchObject({ closed: false });
    // What is said after its end is no part of it, nor of anything.
    await drill.report("west", { filter: "on" });
    expect(drill.review(["west"])?.filters[0]?.open.at(-1)).toMatchObject({ closed: false });
  });

  it("ends with its segment, with a lead's practice, and with “Cover every lens”", () => {
    for (const end of ["segment", "practice", "cover"] as const) {
      const { self, world, start, may } = phone();
      const drill = start();
      self.at += 10 * S;
      expect(drill.isOn()).toBe(true);
      if (end === "segment") self.at += 90 * S;
      else if (end === "practice") world.practise(self.at);
      else self.cover = true;
      expect(drill.isOn(), end).toBe(false);
      expect(may()).toBe({ segment: null, practice: "practice on", cover: "covered" }[end]);
    }
  });

  it("does not begin near the real eclipse, and ends 20 minutes before its C1 (S8)", () => {
    const { c1, c4 } = SiteWorld.planned().predicted;
    const at = (ms: number) => phone(SiteWorld.planned(), ms).may();
    expect(at(c1 - 20 * 60 * S - 1)).toBeNull();
    for (const ms of [c1 - 20 * 60 * S, c1, c4]) expect(at(ms)).toBe("near the eclipse");
    expect(at(c4 + 1)).toBeNull();
    const { self, start } = phone(SiteWorld.planned(), c1 - 21 * 60 * S);
    const drill = start({ from: { anchor: "C2", offsetS: -3600 }, until: { anchor: "C3", offsetS: 0 } });
    self.at = c1 - 20 * 60 * S - 1;
    expect(drill.isOn()).toBe(true);
    self.at++;
    expect(drill.isOn()).toBe(false);
  });

  it("says what is missing", () => {
    expect(phone(new SiteWorld()).may()).toBe("no such contact");
    expect(mayDrill({ state: null, cover: false } as never, AROUND_C2, utcMs(NOON))).toBe("nothing known");
  });
});
