/** S8. That a practice ends 20 minutes before the real first contact is common practice, no source. */
import { describe, expect, test } from "vitest";
import { alertsAt } from "../../../../shared/run/alerts/alerts.ts";
import { GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import { playedDeviceId } from "../../../../shared/run/facts/played.ts";
import { practiceAt } from "../../../../shared/run/run-time.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { asJson, draft, linkedTo, PALM_FIELD, SiteWorld } from "../site-world.ts";

const S = 1000;
/** Noon at the site, so that the real Sun is up. */
const NOW = Date.UTC(2027, 6, 25, 10);

describe("S8: a confirm in practice is a touch", () => {
  test("it counts as done in the practice and says nothing of the real filter", () => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "on", looked: true }, { at: NOW - S });
    world.practise(NOW, -30);
    world.report("west", { cueDone: "filter-off" }, { at: NOW + 10 * S });
    const status = world.rig("west", NOW + 11 * S);
    expect(status.filter).toBe("on");
    expect(status.cues.find((cue) => cue.id === "filter-off")?.state).toBe("done");
  });

  test("unless the rig was reported capped or pointed away for this run", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -30);
    world.report("west", { practiceSafe: true, filter: "on" }, { at: NOW + S });
    world.report("west", { cueDone: "filter-off" }, { at: NOW + 10 * S });
    expect(world.rig("west", NOW + 11 * S).filter).toBe("off");
    // For this run alone: the next one begins with touches again.
    world.practise(NOW + 60 * S, -30);
    world.report("west", { cueDone: "filter-off" }, { at: NOW + 70 * S });
    expect(world.rig("west", NOW + 71 * S)).toMatchObject({ practiceSafe: false, filter: "unknown" });
  });

  test("the lead's word before the start does the same, and the rig's own phone outdoes it", () => {
    const world = SiteWorld.planned();
    const programme = {
      ...{ until: null, played: [], faults: [], repeats: 1, pauseS: 60, part: 1, id: null },
      safe: ["west"],
    };
    world.order({ type: "startPractice", anchor: "C2", offsetS: -30, rate: 1, programme }, NOW);
    expect(world.rig("west", NOW + S)).toMatchObject({ practiceSafe: true, touchOnly: false });
    expect(world.rig("eye", NOW + S)).toMatchObject({ practiceSafe: false, touchOnly: true });
    world.report("west", { practiceSafe: false }, { at: NOW + 2 * S });
    world.report("west", { cueDone: "filter-off" }, { at: NOW + 10 * S });
    expect(world.rig("west", NOW + 11 * S)).toMatchObject({ touchOnly: true, filter: "unknown" });
    world.order({ type: "endPractice" }, NOW + 20 * S);
    expect(world.state.runs[world.state.realRunId]?.rigs).toEqual({});
  });

  test("a filter really off under the real Sun is told, though in the practice it is totality", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, 60);
    world.report("west", { filter: "off" }, { at: NOW });
    const alerts = () =>
      alertsAt(world.state, linkedTo("west", "eye", "wide"), GOOD_CLOCK, utcMs(NOW + S)).map(
        (alert) => `${alert.priority} ${alert.id}`,
      );
    // S1: the photosphere is really exposed, so it is danger like any other.
    expect(alerts()).toContain("danger practice-off-real-sun:west");
    world.report("west", { practiceSafe: true }, { at: NOW + 500 });
    expect(alerts().join()).not.toContain("practice-off-real-sun:west");
  });
});

describe("S8: a practice leaves nothing in the real run's record", () => {
  test("whatever is reported, called, shifted in it", () => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "on", cardFreeGB: 64, batteryPct: 90, looked: true }, { at: NOW - S });
    const realBefore = asJson(world.state.runs[world.state.realRunId]);
    const viewBefore = world.rig("west", NOW - 1);
    const runId = world.practise(NOW, -20, 20);
    world.report("west", { practiceSafe: true, filter: "off" }, { at: NOW + 100 });
    world.report(
      "west",
      { cueDone: "filter-off", cardFreeGB: 1, batteryPct: 2, sky: "overcast" },
      { at: NOW + 200 },
    );
    world.report("west", { sawTotality: true, recording: true, checks: { level: true } }, { at: NOW + 300 });
    world.report("eye", { help: true }, { at: NOW + 400 });
    world.order({ type: "shiftContact", contact: "c2", shiftS: 9 }, NOW + 500);
    world.order({ type: "call", call: "totality" }, NOW + 1200);
    world.order({ type: "call", call: "stay filtered" }, NOW + 1300);
    world.order({ type: "answerHelp", rigId: "eye" }, NOW + 1400);
    world.order({ type: "endPractice" }, NOW + 1500);
    expect(asJson(world.state.runs[world.state.realRunId])).toEqual(realBefore);
    const { verdict, ...rest } = world.rig("west", NOW - 1);
    expect({ ...rest, verdict: { ...verdict, disputedBy: [] } }).toEqual(viewBefore);
    expect(rest.filter).toBe("on");
    expect(world.view(NOW + 2000)).toMatchObject({ run: { kind: "real" }, doubt: { reasons: [] } });
    expect(world.state.runs[runId]?.endedUtcMs).not.toBeNull();
    expect(world.log.filter((event) => event.runId === runId).length).toBeGreaterThan(8);
  });
});

describe("S8, S9: after a practice somebody looks", () => {
  const practised = (words: readonly ("on" | "off")[]) => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "on", looked: true }, { at: NOW - S });
    world.practise(NOW, -30);
    world.report("west", { practiceSafe: true }, { at: NOW + S });
    words.forEach((filter, n) => {
      world.report("west", { filter }, { at: NOW + (n + 2) * S });
    });
    world.order({ type: "endPractice" }, NOW + 30 * S);
    return world;
  };
  const asked = (world: SiteWorld, at = NOW + 60 * S) =>
    alertsAt(world.state, linkedTo("west"), GOOD_CLOCK, utcMs(at)).some(
      (alert) => alert.id === "filter-disputed:west",
    );

  test("when it was last said to be off there; what is known of the real filter stays as it was", () => {
    const world = practised(["off"]);
    expect(world.rig("west", NOW + 60 * S)).toMatchObject({ filter: "on" });
    expect(asked(world)).toBe(true);
    world.report("west", { filter: "on", looked: true }, { at: NOW + 61 * S });
    expect(asked(world, NOW + 62 * S)).toBe(false);
  });

  test("and nobody is asked for the filter of a rig that a simulated operator played", () => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "on", looked: true }, { at: NOW - S });
    world.practise(NOW, -30);
    const device = playedDeviceId("one");
    world.report("west", { practiceSafe: true }, { at: NOW + S, device });
    world.report("west", { filter: "off" }, { at: NOW + 2 * S, device });
    world.order({ type: "endPractice" }, NOW + 30 * S);
    expect(asked(world)).toBe(false);
  });

  test("in the next practice, too, and after however many, until somebody has", () => {
    const world = practised(["off"]);
    const disputed = (at: number) => world.rig("west", at).verdict.disputedBy.length;
    for (let n = 1; n <= 8; n++) {
      world.practise(NOW + n * 60 * S, -30);
      expect(disputed(NOW + n * 60 * S + S), `in practice ${n + 1}`).toBe(1);
    }
    world.order({ type: "endPractice" }, NOW + 600 * S);
    expect(asked(world, NOW + 601 * S)).toBe(true);
    // A second phone that says "on" without having looked ends no "off".
    world.report("west", { filter: "on" }, { at: NOW + 602 * S, device: "another" });
    expect(asked(world, NOW + 603 * S)).toBe(true);
    world.report("west", { filter: "on", looked: true }, { at: NOW + 604 * S, device: "another" });
    expect(asked(world, NOW + 605 * S)).toBe(false);
  });

  test("though a simulated operator who played on said the same after it", () => {
    const world = practised([]);
    world.practise(NOW + 60 * S, -30);
    world.report("west", { practiceSafe: true, filter: "off" }, { at: NOW + 61 * S });
    world.report("west", { filter: "off" }, { at: NOW + 62 * S, device: playedDeviceId("one") });
    world.order({ type: "endPractice" }, NOW + 90 * S);
    expect(asked(world, NOW + 91 * S)).toBe(true);
  });

  test("and nobody is asked when it was put back on, or only touched", () => {
    expect(asked(practised(["off", "on"]))).toBe(false);
    expect(asked(practised([]))).toBe(false);
  });
});

describe("S8: a practice ends by itself before the real eclipse", () => {
  test("20 minutes before real C1, whatever was asked", () => {
    const world = SiteWorld.planned();
    const { c1 } = world.predicted;
    world.practise(c1 - 3 * 3600 * S, -14_400);
    expect(world.state.practice?.endsAtUtcMs).toBe(c1 - 20 * 60 * S);
    expect(world.view(c1 - 20 * 60 * S - 1).run.kind).toBe("practice");
    expect(world.view(c1 - 20 * 60 * S).run.kind).toBe("real");
  });

  test("and none can be started from then until C4", () => {
    const world = SiteWorld.planned();
    const { c1, c4 } = world.predicted;
    const start = (at: number) =>
      world.order({ type: "startPractice", anchor: "C2", offsetS: -60, rate: 1 }, at);
    for (const at of [c1 - 20 * 60 * S, c1, c4]) {
      expect(start(at)).toMatchObject({ refusal: { code: "too-close-to-eclipse" } });
    }
    expect(start(c1 - 20 * 60 * S - 1)).toHaveProperty("events");
    expect(start(c4 + 1)).toHaveProperty("events");
  });

  test("a place with other contacts ends it, and what stays the same does not", () => {
    const world = SiteWorld.planned();
    world.practise(NOW);
    world.order({ type: "savePlan", draft: draft({ group: "Renamed" }), ifRevision: 1 }, NOW + S);
    expect(world.state.practice).not.toBeNull();
    const east = draft({ site: { ...PALM_FIELD, lonDeg: 34 } });
    world.order({ type: "savePlan", draft: east, ifRevision: 2 }, NOW + 2 * S);
    expect(world.state.practice).toBeNull();
  });

  test("20 minutes before the C1 that holds by now, whatever end it was given", () => {
    const world = SiteWorld.planned();
    const { c1 } = world.predicted;
    world.practise(c1 - 3 * 3600 * S, -14_400);
    const practice = world.state.practice;
    if (!practice) throw new Error("no practice");
    const late = { ...world.state, practice: { ...practice, endsAtUtcMs: utcMs(c1 + 3600 * S) } };
    expect(practiceAt(late, utcMs(c1 - 20 * 60 * S - 1))).not.toBeNull();
    expect(practiceAt(late, utcMs(c1 - 20 * 60 * S))).toBeNull();
  });

  test("another eclipse in the plan ends it, too", () => {
    const world = SiteWorld.planned();
    world.practise(NOW);
    world.order({ type: "savePlan", draft: draft({ eclipse: "2028-07-22" }), ifRevision: 1 }, NOW + S);
    expect(world.state.practice).toBeNull();
  });
});
