/** Sentences of the array's rows. The rules are our own; priorities come from shared/run/alerts/alerts.ts. */
import { describe, expect, it } from "vitest";
import { rankOf, troublesOf } from "../../../../../console/lead/run/array/rig-trouble.ts";
import "../../../../../console/words/bundles/pieces.ts";
import { shortLength } from "../../../../../console/lead/shell/short-length.ts";
import type { Alert } from "../../../../../shared/run/alerts/alerts.ts";
import type { EffectiveContacts } from "../../../../../shared/run/effective-contacts.ts";
import type { RigStatus } from "../../../../../shared/run/views/rig-status.ts";
import type { RunView } from "../../../../../shared/run/views/run-view.ts";
import { utcMs } from "../../../../../shared/time/instants.ts";

const T0 = Date.UTC(2027, 7, 2, 10, 0, 0);
const contacts = {
  c1: T0 - 3_600_000,
  c2: T0,
  max: T0 + 60_000,
  c3: T0 + 120_000,
  c4: T0 + 4e6,
} as EffectiveContacts;
const status = {
  rig: { id: "kite", name: "Kite" },
  cues: [],
  cardFreeGB: 0.37,
  batteryPct: 8.6,
  help: { value: true, observedUtcMs: T0 - 12_000 },
  lastUtcMs: T0 - 45_000,
  verdict: { state: "on", word: null, disputedBy: [] },
} as unknown as RigStatus;
const alert = (
  cause: Alert["cause"],
  priority: Alert["priority"],
  sinceMs = T0 - 5000,
  rigId = "kite",
): Alert => ({
  id: `${cause}:${rigId}`,
  cause,
  priority,
  rigId,
  sinceUtcMs: utcMs(sinceMs),
});
const runAt = (runNow: number) =>
  ({ contacts, runNow, now: T0, practice: null, rigs: [] }) as unknown as RunView;
const of = (alerts: Alert[], runNow = T0) => troublesOf(status, alerts, runAt(runNow));

describe("what a row of the array says", () => {
  it("is nothing when no alert stands for the rig", () => {
    expect(of([alert("exposed", "danger", T0, "plover")])).toEqual([]);
    expect(rankOf([])).toBeNull();
  });

  it("puts the worst first, and of equals the one that has stood longest", () => {
    const causes = of([
      alert("card-low", "advice"),
      alert("help", "caution", T0 - 1000),
      alert("link-lost", "caution", T0 - 9000),
      alert("exposed", "danger"),
    ]).map((one) => one.cause);
    expect(causes).toEqual(["exposed", "link-lost", "help", "card-low"]);
  });

  it("counts an open filter from C3 once the Sun is back, and from when it was seen before that", () => {
    const [before] = of([alert("exposed", "danger")], T0 - 60_000);
    expect(before).toMatchObject({ key: "alert.exposed.row", values: { time: "0:05" } });
    const [after] = of([alert("exposed", "danger")], T0 + 120_000 + 19_400);
    expect(after).toMatchObject({ key: "alert.exposed.rowAfter", values: { time: "0:19" } });
  });

  it("counts silence from when the link was lost, says what the filter was, and who stands nearest", () => {
    expect(of([alert("link-lost", "caution")])[0]).toMatchObject({
      key: "alert.link-lost.row",
      values: { time: "0:05", state: "ON" },
    });
    const at = (id: string, operator: string, eastM: number, linked = [{}]) => ({
      rig: { id, name: id, operator, spot: { eastM, northM: 0 } },
      linked,
    });
    const lost = { ...status, rig: { ...status.rig, spot: { eastM: 0, northM: 0 } } } as unknown as RigStatus;
    const run = {
      ...runAt(T0),
      rigs: [lost, at("tern", "Ben", 30), at("swift", "Ada", 12), at("wren", "Cy", 3, [])],
    } as unknown as RunView;
    expect(troublesOf(lost, [alert("link-lost", "caution")], run)[0]).toMatchObject({
      key: "alert.link-lost.rowNear",
      values: { near: "Ada" },
    });
  });

  it("says of a filter that silence has made unknown what it was last", () => {
    expect(of([alert("filter-unknown", "caution", T0 - 40_000)])[0]).toMatchObject({
      key: "alert.filter-unknown.rowLast",
      values: { time: "0:40", state: "ON" },
    });
  });

  it("counts it from when the link was lost where that is the cause, and names who stands nearest", () => {
    const lost = {
      ...status,
      rig: { ...status.rig, spot: { eastM: 0, northM: 0 } },
      linked: [],
    } as unknown as RigStatus;
    const near = {
      rig: { id: "swift", name: "swift", operator: "Ada", spot: { eastM: 9, northM: 0 } },
      linked: [{}],
    };
    const run = { ...runAt(T0), rigs: [lost, near] } as unknown as RunView;
    const alerts = [
      alert("filter-unknown", "caution", T0 - 2000),
      alert("link-lost", "caution", T0 - 902_000),
    ];
    const said = troublesOf(lost, alerts, run);
    expect(said).toHaveLength(1);
    expect(said[0]).toMatchObject({
      key: "alert.filter-unknown.rowNear",
      values: { time: "15:02", state: "ON", near: "Ada" },
    });
    const never = {
      ...lost,
      verdict: { state: "unknown", word: null, disputedBy: [] },
    } as unknown as RigStatus;
    expect(troublesOf(never, alerts, run)[0]).toMatchObject({
      key: "alert.link-lost.rowNear",
      values: { time: "15:02" },
    });
  });

  it("counts help from when it was asked", () => {
    expect(of([alert("help", "caution")])[0]?.values.time).toBe("0:12");
  });

  it("counts the lateness of the very cue that the alert stands behind", () => {
    const cue = (lateS: number, mode: string) => ({
      id: `off-${lateS}`,
      cue: { action: "filter-off", key: null, say: null },
      state: "late",
      mode,
      lateS,
    });
    // The first may not come off by now (S5), so nothing is late about it.
    const held = { ...status, cues: [cue(90, "by-eye"), cue(12, "plain")] } as unknown as RigStatus;
    const [said] = troublesOf(held, [alert("still-filtered", "caution")], runAt(T0));
    expect(said?.values.time).toBe("0:12");
  });

  it("names what is left of card and battery", () => {
    expect(of([alert("card-full", "caution")])[0]?.values.card).toBe("0.4 GB");
    expect(of([alert("battery-low", "advice")])[0]?.values.battery).toBe(9);
  });

  it("raises the row for danger and caution only", () => {
    expect(rankOf(of([alert("exposed", "danger")]))).toBe(0);
    expect(rankOf(of([alert("help", "caution")]))).toBe(1);
    expect(rankOf(of([alert("card-low", "advice")]))).toBeNull();
  });
});

describe("short figures of a row", () => {
  it("writes lengths in the unit that tells", () => {
    expect([0, 19_999, 99_999, 100_000, 5_999_000, 6_000_000, 7_500_000].map(shortLength)).toEqual([
      "0:00",
      "0:19",
      "1:39",
      "1:40",
      "99:59",
      "1 h 40 min",
      "2 h 05 min",
    ]);
  });
});
