/** SPEC R10 and R14; the alert of S1 has a file of its own. Limits of cards and batteries: common practice, no source. */
import { describe, expect, test } from "vitest";
import { type Alert, alertsAt, lasting, trackAlerts } from "../../../../shared/run/alerts/alerts.ts";
import { type ClockHealth, GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import type { Report } from "../../../../shared/run/facts/report-schema.ts";
import { NOBODY, type Presence } from "../../../../shared/run/views/presence.ts";
import { type UtcMs, utcMs } from "../../../../shared/time/instants.ts";
import { linkedTo, NORTH_SHORE, RIGS, SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);
const ALL = linkedTo("west", "eye", "wide");

function calm(offsetS = -300): SiteWorld {
  const world = SiteWorld.planned();
  world.practise(NOW, offsetS);
  for (const id of ["west", "eye"]) {
    world.report(id, { filter: "on", looked: true, practiceSafe: true }, { at: NOW + 1 });
  }
  return world;
}
const standing = (world: SiteWorld, at = NOW + S, presence: Presence = ALL, clock = GOOD_CLOCK) =>
  alertsAt(world.state, presence, clock, utcMs(at)).map(({ id, priority }) => `${priority} ${id}`);
const afterReport = (report: Report) => {
  const world = calm();
  world.report("west", report, { at: NOW + 500 });
  return standing(world);
};

describe("R10: alerts", () => {
  test("none when all is well", () => {
    expect(standing(calm())).toEqual([]);
  });

  test.each<[Report, string[]]>([
    [{ cardFreeGB: 4 }, []],
    [{ cardFreeGB: 3.9 }, ["advice card-low:west"]],
    [{ cardFreeGB: 0.4 }, ["caution card-full:west"]],
    [{ batteryPct: 20 }, []],
    [{ batteryPct: 19 }, ["advice battery-low:west"]],
    [{ batteryPct: 9 }, ["caution battery-low:west"]],
    [{ help: true }, ["caution help:west"]],
    [{ filter: "unknown" }, ["caution filter-unknown:west"]],
  ])("%j gives %j", (report, alerts) => {
    expect(afterReport(report)).toEqual(alerts);
  });

  test("no word is missed in the first seconds of a practice, which nobody can have answered yet", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -300);
    expect(standing(world, NOW + 14 * S, NOBODY)).toEqual([]);
    expect(standing(world, NOW + 15 * S)).toEqual([
      "caution filter-unknown:west",
      "caution filter-unknown:eye",
    ]);
    const unjoined = standing(world, NOW + 15 * S, NOBODY).filter((id) => id.includes("not-joined"));
    expect(unjoined).toHaveLength(3);
  });

  test("S12: a projection that is not capped in time is danger until somebody has said that it is done", () => {
    const rig = { id: "screen", name: "Projection", kind: "projection", filter: "none by design" };
    const world = SiteWorld.planned({ rigs: [rig] });
    world.practise(NOW, -75);
    const here = linkedTo("screen");
    const cap = world.rig("screen", NOW + S).cues.find(({ cue }) => cue.action === "cap");
    if (!cap) throw new Error("a projection has no cap cue");
    const capped = (at: number) => standing(world, at, here).filter((id) => id.endsWith("not-capped:screen"));
    expect(capped(NOW + 10 * S)).toEqual([]);
    // Due a minute before C2, it stands through totality and past C3, until it is to be uncapped again.
    for (const s of [60, 200, 490]) expect(capped(NOW + s * S)).toEqual(["danger not-capped:screen"]);
    world.report("screen", { cueDone: cap.id }, { at: NOW + 491 * S });
    expect(capped(NOW + 492 * S)).toEqual([]);
  });

  test("S12: nor is it let go at the end of the day: danger while the Sun is up, until it is capped", () => {
    const rig = { id: "screen", name: "Projection", kind: "projection", filter: "none by design" };
    const world = SiteWorld.planned({ rigs: [rig, RIGS[0]] });
    const { c3, c4 } = world.predicted;
    world.report("west", { filter: "on", looked: true }, { at: c3 + 10 * S });
    const capped = (s: number) =>
      standing(world, c4 + s * S, linkedTo("screen", "west")).filter((id) => /cap/.test(id));
    expect(capped(900)).toEqual([]);
    // A camera behind its filter is not asked to confirm its cap.
    for (const s of [960, 3600, 4 * 3600]) expect(capped(s)).toEqual(["danger not-capped:screen"]);
    // Night, and the next morning.
    for (const s of [10 * 3600, 20 * 3600]) expect(capped(s)).toEqual([]);
    world.report("screen", { cueDone: "cap-stop" }, { at: c4 + 961 * S });
    expect(capped(962)).toEqual([]);
  });

  test("optics that are left alone are asked for their cap until somebody has said it, past C3 and C4, too", () => {
    const rig = { ...RIGS[0], id: "alone", unattended: true };
    const world = SiteWorld.planned({ rigs: [rig] });
    const { c1, c3, c4 } = world.predicted;
    const cap = world.rig("alone", c1).cues.find(({ cue }) => cue.action === "cap");
    if (!cap) throw new Error("optics left alone have no cap cue");
    const asked = (at: number) => standing(world, at, linkedTo("alone")).filter((id) => /cap/.test(id));
    for (const at of [c1 + 60 * S, c3 + 120 * S, c4 + 600 * S])
      expect(asked(at)).toEqual(["caution not-capped:alone"]);
    world.report("alone", { filter: "capped" }, { at: c4 + 601 * S });
    expect(asked(c4 + 602 * S)).toEqual([]);
  });

  test("one person's phone with four rigs gone is no access point: a cause of its own, not of the site", () => {
    const ids = ["one", "two", "three", "four", "west", "eye"];
    const rigs = ids.map((id) => ({ ...RIGS[0], id, name: id }));
    const world = SiteWorld.planned({ rigs });
    world.practise(NOW, -300);
    world.joined(ids.slice(0, 4), NOW + 2);
    for (const id of ["west", "eye"]) world.joined(id, NOW + 2);
    const lost = (...linked: string[]) =>
      standing(world, NOW + S, linkedTo(...linked)).filter((id) => /link/.test(id));
    expect(lost("west", "eye")).toEqual(ids.slice(0, 4).map((id) => `caution link-lost:${id}`));
    expect(lost()).toEqual(["caution links-lost"]);
  });

  test("most phones gone at once are one alert; one phone gone is its rig's", () => {
    const world = calm();
    for (const id of ["west", "eye", "wide"]) world.joined(id, NOW + 2);
    const lost = (presence: Presence) => standing(world, NOW + S, presence).filter((id) => /link/.test(id));
    expect(lost(NOBODY)).toEqual(["caution links-lost"]);
    expect(lost(linkedTo("west", "eye"))).toEqual(["caution link-lost:wide"]);
    expect(lost(ALL)).toEqual([]);
  });

  test("help stands until it is answered, also when it was asked before the practice", () => {
    const world = SiteWorld.planned();
    world.report("west", { help: true }, { at: NOW - 60 * S });
    world.practise(NOW, -7000);
    expect(standing(world)).toContain("caution help:west");
    world.order({ type: "answerHelp", rigId: "west" }, NOW + S);
    expect(standing(world, NOW + 2 * S)).not.toContain("caution help:west");
    world.order({ type: "endPractice" }, NOW + 3 * S);
    expect(standing(world, NOW + 4 * S)).not.toContain("caution help:west");
    world.report("west", { help: true }, { at: NOW + 5 * S });
    expect(standing(world, NOW + 6 * S)).toContain("caution help:west");
  });

  test("a rig whose device is linked no more, while it matters; one that never had a device is none", () => {
    const world = calm();
    expect(standing(world, NOW + S, linkedTo("eye", "wide"))).toEqual([]);
    world.joined("west", NOW + 700);
    expect(standing(world, NOW + S, linkedTo("eye", "wide"))).toEqual(["caution link-lost:west"]);
    expect(standing(world)).toEqual([]);
    world.order({ type: "endPractice" }, NOW + 2 * S);
    expect(standing(world, NOW + 3 * S, NOBODY)).toEqual([]);
  });

  test("a clock that is not known for a moment, as after a restart of the hub, needs nobody", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    const unknown = { ...GOOD_CLOCK, hubBoundMs: 600_000 };
    let alerts: Alert[] = [];
    let seen: ReadonlyMap<string, UtcMs> = new Map();
    const look = (beforeC2S: number, clock: ClockHealth) => {
      const now = utcMs(c2 - beforeC2S * S);
      const held = lasting(alertsAt(world.state, ALL, clock, now), alerts, seen, now);
      seen = held.seen;
      alerts = trackAlerts(alerts, held.told, now).alerts;
      return alerts.filter(({ cause }) => cause === "clock-bound");
    };
    for (const beforeC2S of [640, 637, 632]) expect(look(beforeC2S, unknown)).toEqual([]);
    expect(look(631, GOOD_CLOCK)).toEqual([]);
    // Lost anew, it is waited for anew.
    for (const beforeC2S of [620, 611]) expect(look(beforeC2S, unknown)).toEqual([]);
    const stands = { id: "clock-bound", sinceUtcMs: c2 - 620 * S };
    expect(look(610, unknown)).toMatchObject([{ ...stands, priority: "advice" }]);
    // Graver, it is told at once.
    expect(look(599, unknown)).toMatchObject([{ id: "clock-bound", priority: "danger" }]);
    expect(look(598, GOOD_CLOCK)).toEqual([]);
    // Of what can hurt somebody nothing waits.
    world.report("west", { filter: "off", looked: true }, { at: c2 - 500 * S });
    const now = utcMs(c2 - 500 * S);
    const exposed = alertsAt(world.state, ALL, GOOD_CLOCK, now).filter(({ cause }) => cause === "exposed");
    expect(lasting(exposed, [], new Map(), now).told).toEqual(exposed);
  });

  test("since when help is asked and lenses are covered comes from the state, also to a hub that starts anew", () => {
    const world = calm();
    world.report("west", { help: true }, { at: NOW + 300 });
    world.order({ type: "cover" }, NOW + 400);
    const now = utcMs(NOW + 90 * S);
    const { alerts } = trackAlerts([], alertsAt(world.state, ALL, GOOD_CLOCK, now), now);
    expect(Object.fromEntries(alerts.map((alert) => [alert.cause, alert.sinceUtcMs]))).toMatchObject({
      help: NOW + 300,
      "cover-latched": NOW + 400,
    });
    expect(Object.keys(alerts[0] ?? {}).sort()).toEqual(["cause", "id", "priority", "rigId", "sinceUtcMs"]);
  });

  test("a filter-on that is late", () => {
    const world = calm(-30);
    const { c2, c3 } = world.predicted;
    world.report("west", { cueDone: "filter-off" }, { at: NOW + 10 * S });
    const lateAt = NOW + 30 * S + (c3 - c2) + 15 * S + 1;
    expect(standing(world, lateAt)).toContain("caution filter-late:west");
    world.report("west", { cueDone: "filter-on" }, { at: lateAt });
    expect(standing(world, lateAt + 1)).not.toContain("caution filter-late:west");
  });

  test.each([
    "tracked-telescope",
    "tripod-camera",
    "video-camera",
    "small-automatic-telescope",
    "visual-telescope",
  ] as const)(
    "a %s still filtered when its window is over, 10 s after C2 at a camera, is a caution, and none once it stays on after C3",
    (kind) => {
      const lookedThrough = kind === "visual-telescope";
      const world = SiteWorld.planned({ rigs: [{ ...RIGS[0], kind, lookedThrough }] });
      const { c2, c3 } = world.predicted;
      const alerts = (s: number, from = c2) => standing(world, from + s * S, linkedTo("west"));
      world.report("west", { filter: "on", looked: true }, { at: c2 - 300 * S });
      world.order({ type: "call", call: "totality" }, c2);
      expect(alerts(lookedThrough ? 9 : -21)).toEqual([]);
      expect(alerts(lookedThrough ? 31 : 11)).toEqual(["caution still-filtered:west"]);
      world.report("west", { filter: "on", looked: true }, { at: c2 + 40 * S });
      for (const s of [5, 16, 120]) expect(alerts(s, c3)).toEqual([]);
    },
  );

  test("the worst comes first, and the latched cover is danger", () => {
    const world = calm();
    world.report("west", { batteryPct: 15, help: true }, { at: NOW + 500 });
    world.order({ type: "cover" }, NOW + 600);
    expect(standing(world)).toEqual(["danger cover-latched", "caution help:west", "advice battery-low:west"]);
  });

  test("the hub's clock matters in a real run, gravely in the ten minutes before C2", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    for (const id of ["west", "eye"]) world.report(id, { filter: "on" }, { at: c2 - 900 * S });
    const bad = { ...GOOD_CLOCK, hubBoundMs: 1500, disputed: true };
    const at = (s: number) => standing(world, c2 + s * S, ALL, bad).sort();
    expect(at(-660)).toEqual(["advice clock-bound", "caution clock-disputed"]);
    expect(at(-540)).toEqual(["danger clock-bound", "danger clock-disputed"]);
    const practice = calm();
    expect(standing(practice, NOW + S, ALL, bad)).toEqual([]);
    // A step nobody has answered asks by itself, in a practice too.
    const stepped = { ...GOOD_CLOCK, disputed: true, stepped: true };
    expect(standing(world, c2 - 660 * S, ALL, stepped)).toEqual(["caution clock-stepped"]);
    expect(standing(world, c2 - 540 * S, ALL, stepped)).toEqual(["danger clock-stepped"]);
    expect(standing(practice, NOW + S, ALL, stepped)).toEqual(["caution clock-stepped"]);
  });

  test("since when an alert stands is kept while it stands with the same priority", () => {
    const low = { id: "battery-low:west", priority: "advice", cause: "battery-low", rigId: "west" } as const;
    const first = trackAlerts([], [low], utcMs(1000));
    expect(first).toMatchObject({ raised: [{ sinceUtcMs: 1000 }], cleared: [] });
    const second = trackAlerts(first.alerts, [low], utcMs(2000));
    expect(second).toMatchObject({ alerts: [{ sinceUtcMs: 1000 }], raised: [], cleared: [] });
    const worse = trackAlerts(second.alerts, [{ ...low, priority: "caution" }], utcMs(3000));
    expect(worse).toMatchObject({
      raised: [{ priority: "caution", sinceUtcMs: 3000 }],
      cleared: [{ priority: "advice" }],
    });
    expect(trackAlerts(worse.alerts, [], utcMs(4000))).toMatchObject({ alerts: [], cleared: [{}] });
  });
});

describe("R14: a rig that no phone has joined", () => {
  const MIN = 60 * S;
  const presence = linkedTo("eye");
  const notJoined = (world: SiteWorld, at: number, who: Presence = presence) =>
    standing(world, at, who).filter((line) => line.includes("not-joined"));

  test("is advice from an hour before C1, caution from ten minutes before its first filter cue, nothing after C4", () => {
    const world = SiteWorld.planned();
    const { c1, c2, c4 } = world.predicted;
    // The default list of a camera takes the filter off at C2−20 s.
    const nearMs = c2 - 20 * S - 10 * MIN;
    const west = (at: number) => notJoined(world, at).filter((line) => line.endsWith("west"));
    expect(west(c1 - 60 * MIN - 1)).toEqual([]);
    expect(west(c1 - 60 * MIN)).toEqual(["advice not-joined:west"]);
    expect(west(nearMs - 1)).toEqual(["advice not-joined:west"]);
    expect(west(nearMs)).toEqual(["caution not-joined:west"]);
    expect(west(c4 - 1)).toEqual(["caution not-joined:west"]);
    expect(west(c4)).toEqual([]);
  });

  test("counts in a practice run by the practice's time", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -300);
    expect(notJoined(world, NOW + 20 * S)).toContain("caution not-joined:west");
  });

  test("stays advice where there is no filter by design", () => {
    const world = SiteWorld.planned();
    expect(notJoined(world, world.predicted.c2 - S)).toContain("advice not-joined:wide");
  });

  test("is as grave from ten minutes before C1 where the filter only stays on", () => {
    const world = SiteWorld.planned({ site: NORTH_SHORE });
    const { c1 } = world.contacts(NOW);
    if (c1 === null) throw new Error("no eclipse there");
    expect(notJoined(world, c1 - 10 * MIN - 1)).toContain("advice not-joined:west");
    expect(notJoined(world, c1 - 10 * MIN)).toContain("caution not-joined:west");
  });

  test("is none once a phone is linked, has ever joined, or has spoken in the last 15 minutes", () => {
    const world = SiteWorld.planned();
    const at = world.predicted.c2 - 5 * MIN;
    const west = (who?: Presence, when = at) =>
      notJoined(world, when, who).filter((line) => line.endsWith("west"));
    expect(west()).toHaveLength(1);
    expect(west(linkedTo("west"))).toEqual([]);
    world.report("west", { batteryPct: 80 }, { at });
    expect(west()).toEqual([]);
    expect(west(presence, at + 15 * MIN + 1)).toHaveLength(1);
    world.joined("west", at + 16 * MIN);
    expect(west(presence, at + 17 * MIN)).toEqual([]);
    expect(standing(world, at + 32 * MIN, presence)).toContain("caution link-lost:west");
  });
});
