import { describe, expect, test } from "vitest";
import { ClockFollower } from "../../../shared/sync/follower.ts";
import type { HubCourse } from "../../../shared/sync/samples.ts";
import { monoMs, utcMs } from "../../../shared/time/instants.ts";

const EPOCH = 1_817_200_000_000;
const up = { linkUp: true };

/** An exchange at device time `t`; the hub's UTC is EPOCH + t + `ahead`; journeys 4 ms each. */
function exchange(t: number, ahead = 0, journey = 4, course?: HubCourse) {
  const at = EPOCH + t + ahead + journey;
  return {
    t1: monoMs(t),
    t2: utcMs(at),
    t3: utcMs(at + 0.1),
    t4: monoMs(t + 2 * journey + 0.1),
    hubBoundMs: 20,
    ...(course ? { course } : {}),
  };
}
/** A follower that has heard an exchange every two seconds from `from` to `to`. */
function synced(from: number, to: number, follower = new ClockFollower()): ClockFollower {
  for (let t = from; t <= to; t += 2000) {
    follower.noteWake(monoMs(t), utcMs(EPOCH + t));
    follower.addSample(exchange(t));
  }
  return follower;
}
const errorAt = (f: ClockFollower, t: number) => (f.read(monoMs(t))?.utcMs ?? Number.NaN) - EPOCH - t;

test("a clock that never heard the hub has no time to show", () => {
  const f = new ClockFollower();
  expect(f.read(monoMs(5))).toBeNull();
  expect(f.export(monoMs(5), utcMs(EPOCH))).toBeNull();
});

// RFC 5905: one exchange bounds the offset by delta/2
test("after one exchange the bound is half its delay and a little more", () => {
  const f = new ClockFollower();
  f.addSample(exchange(1000.05, 0, 30));
  const r = f.read(monoMs(1061));
  expect(r?.boundMs).toBeGreaterThanOrEqual(27);
  expect(r?.boundMs).toBeLessThan(60);
  expect(Math.abs((r?.utcMs ?? 0) - EPOCH - 1061)).toBeLessThan(1);
});

test("the bound against UTC is the bound against the hub plus the hub's own", () => {
  const r = synced(0.07, 60_000).read(monoMs(60_100));
  expect((r?.utcBoundMs ?? 0) - (r?.boundMs ?? 0)).toBeCloseTo(20, 1);
  expect(r?.state).toBe("linked");
});

test("without the hub the state becomes hold-over and the bound grows", () => {
  const f = synced(0.07, 120_000);
  const near = f.read(monoMs(121_000));
  const far = f.read(monoMs(121_000 + 3_600_000));
  expect(near?.state).toBe("linked");
  expect(far?.state).toBe("holdover");
  // at least the 3 ppm two crystals wander in the sun (common practice)
  expect((far?.boundMs ?? 0) - (near?.boundMs ?? 0)).toBeGreaterThan(10);
  expect(far?.ageMs).toBeGreaterThan(3_600_000);
});

test("an impossible exchange is refused, counted and changes nothing", () => {
  const f = synced(0.07, 60_000);
  const before = f.read(monoMs(61_000));
  const bad = exchange(61_500);
  expect(f.addSample({ ...bad, t3: utcMs(bad.t3 + 500) })).toBe(false);
  expect(f.counts.refused).toBe(1);
  expect(f.read(monoMs(61_000))).toEqual(before);
});

test("time read in order never goes back, whatever the samples say", () => {
  const f = synced(0.07, 30_000);
  let last = 0;
  for (let t = 30_100; t < 60_000; t += 37) {
    // a hub that is set to and fro by up to 40 ms, unannounced
    if (t % 5 === 0) f.addSample(exchange(t + 0.03, (t % 9) * 10 - 40));
    const utc = f.read(monoMs(t + 20))?.utcMs ?? 0;
    expect(utc).toBeGreaterThanOrEqual(last);
    last = utc;
  }
});

describe("when an instant will be shown", () => {
  // 400 ms at once, and the slow and the fast ways of running off of slew.test.ts.
  test.each([400, 200, 30, 0, -30, -200, -400, -3000])("is known while %i ms are taken", (byMs) => {
    const f = new ClockFollower();
    const course = { epoch: "a", shiftMs: 0, slewPpm: 0, untilUtcMs: EPOCH + 1e6, thenPpm: 0 };
    for (let t = 0.07; t <= 60_000; t += 2000) f.addSample(exchange(t, 0, 4, course));
    f.addSample(exchange(62_000.07, byMs, 4, { ...course, shiftMs: byMs }));
    const from = f.read(monoMs(62_100))?.utcMs ?? 0;
    for (const aheadMs of [0, 10, 150, 700, 2500, 60_000]) {
      const at = f.monoAt(utcMs(from + aheadMs), monoMs(62_100)) ?? Number.NaN;
      expect(f.read(monoMs(at))?.utcMs).toBeCloseTo(from + aheadMs, 3);
    }
  });

  test("is unknown to a clock that never heard the hub", () => {
    expect(new ClockFollower().monoAt(utcMs(EPOCH), monoMs(5))).toBeNull();
  });
});

describe("the course the hub announces", () => {
  test("an announced slew is followed while nothing is heard", () => {
    const f = new ClockFollower();
    const course = { epoch: "a", shiftMs: 0, slewPpm: 0, untilUtcMs: EPOCH + 70_000, thenPpm: 500 };
    for (let t = 0.07; t <= 60_000; t += 2000) f.addSample(exchange(t, 0, 4, course));
    // from 70 s on at 500 ppm: 5 ms after 10 s, 10 ms after 20 s, then held
    expect(errorAt(f, 70_000)).toBeCloseTo(0, 1);
    expect(errorAt(f, 80_000)).toBeCloseTo(5, 1);
    expect(errorAt(f, 90_000)).toBeCloseTo(10, 1);
    expect(errorAt(f, 95_000)).toBeCloseTo(10, 1);
  });

  test("a step told by the course is taken from one sample on, without losing the window", () => {
    const f = new ClockFollower();
    const course = { epoch: "a", shiftMs: 0, slewPpm: 0, untilUtcMs: EPOCH + 1e6, thenPpm: 0 };
    for (let t = 0.07; t <= 60_000; t += 2000) f.addSample(exchange(t, 0, 4, course));
    f.addSample(exchange(62_000.07, 2000, 4, { ...course, shiftMs: 2000 }));
    expect(errorAt(f, 62_100)).toBeCloseTo(2000, 0);
    expect(f.counts.cut).toBe(0);
  });

  test("a hub that started afresh is followed from its first answer on", () => {
    const f = new ClockFollower();
    const course = { epoch: "a", shiftMs: 0, slewPpm: 0, untilUtcMs: EPOCH + 1e6, thenPpm: 0 };
    for (let t = 0.07; t <= 60_000; t += 2000) f.addSample(exchange(t, 0, 4, course));
    f.addSample(exchange(62_000.07, 3, 4, { ...course, epoch: "b" }));
    expect(errorAt(f, 62_500)).toBeCloseTo(3, 0);
  });
});

describe("sleep and clocks that are set", () => {
  test("a wall clock that gains leaves the time as it is, doubts it, and asks at once", () => {
    const f = synced(0.07, 60_000);
    expect(f.noteWake(monoMs(61_000), utcMs(EPOCH + 61_000 + 7000))).toBeCloseTo(7000, 0);
    const r = f.read(monoMs(61_100));
    expect(Math.abs((r?.utcMs ?? 0) - EPOCH - 61_100)).toBeLessThan(1);
    expect(r?.boundMs).toBeGreaterThan(7000);
    expect(r?.state).toBe("holdover");
    expect(f.nextProbe(monoMs(61_100), up).atMono).toBe(61_100);
  });

  test("the next exchange clears the doubt when only the wall clock was set, and keeps the window", () => {
    const f = synced(0.07, 60_000);
    const before = f.read(monoMs(60_900))?.boundMs ?? 0;
    f.noteWake(monoMs(61_000), utcMs(EPOCH + 61_000 + 7000));
    f.addSample(exchange(61_200.07));
    const r = f.read(monoMs(61_400));
    expect(r?.boundMs).toBeLessThan(before + 0.5);
    expect(r?.state).toBe("linked");
  });

  test("the next exchange puts the time right when the monotonic clock had stood still", () => {
    const f = synced(0.07, 60_000);
    f.noteWake(monoMs(61_000), utcMs(EPOCH + 61_000 + 7000));
    f.addSample(exchange(61_200.07, 7000));
    expect(errorAt(f, 61_400)).toBeCloseTo(7000, 0);
    expect(f.read(monoMs(61_400))?.boundMs).toBeLessThan(20);
  });

  test("a wall clock set back is nobody's sleep", () => {
    const f = synced(0.07, 60_000);
    const before = f.read(monoMs(60_950))?.boundMs ?? 0;
    f.noteWake(monoMs(61_000), utcMs(EPOCH + 61_000 - 7000));
    expect(f.read(monoMs(61_000))?.boundMs).toBeLessThan(before + 0.1);
  });

  test("a known suspension moves the time on by what the wall clock says, with a wider bound", () => {
    const f = synced(0.07, 60_000);
    expect(f.noteSuspension(monoMs(60_500), utcMs(EPOCH + 60_500 + 120_000))).toBeCloseTo(120_000, 0);
    const r = f.read(monoMs(60_600));
    expect((r?.utcMs ?? 0) - EPOCH - 180_600).toBeLessThan(2);
    expect(r?.boundMs).toBeGreaterThan(25);
    expect(r?.boundMs).toBeLessThan(80);
  });
});

describe("a page that is loaded anew", () => {
  test("goes on without the hub, its bound wider by what a wall clock may do", () => {
    const saved = synced(0.07, 60_000).export(monoMs(60_500), utcMs(EPOCH + 60_500)) ?? "";
    const f = new ClockFollower();
    expect(f.restore(saved, monoMs(40), utcMs(EPOCH + 63_000))).toBe(true);
    const r = f.read(monoMs(1040));
    expect(Math.abs((r?.utcMs ?? 0) - EPOCH - 64_000)).toBeLessThan(2);
    expect(r?.state).toBe("holdover");
    expect(r?.boundMs).toBeGreaterThan(29);
    expect(r?.boundMs).toBeLessThan(40);
    expect(r?.ageMs).toBeGreaterThan(3000);
    f.addSample({ ...exchange(64_100.03), t1: monoMs(1140.03), t4: monoMs(1148.13) });
    expect(f.read(monoMs(1240))?.state).toBe("linked");
    expect(f.read(monoMs(1240))?.boundMs).toBeLessThan(10);
  });

  test("refuses text that is not its own, a wall clock that went back, and a day's absence", () => {
    const saved = synced(0.07, 60_000).export(monoMs(60_500), utcMs(EPOCH + 60_500)) ?? "";
    const f = new ClockFollower();
    for (const text of ["", "{}", "null", '{"v":1}', saved.replace(/"rate":[^,]+/, '"rate":9')])
      expect(f.restore(text, monoMs(1), utcMs(EPOCH + 61_000))).toBe(false);
    expect(f.restore(saved, monoMs(1), utcMs(EPOCH + 50_000))).toBe(false);
    expect(f.restore(saved, monoMs(1), utcMs(EPOCH + 86_400_000))).toBe(false);
    expect(f.read(monoMs(2))).toBeNull();
  });
});

describe("when to ask", () => {
  test("at once after joining, then steadily", () => {
    const f = new ClockFollower();
    expect(f.nextProbe(monoMs(10), up)).toEqual({ atMono: 10, burst: 3 });
    f.noteProbe(monoMs(10));
    expect(f.nextProbe(monoMs(20), up).atMono).toBe(260);
    synced(0.07, 200_000, f);
    f.noteProbe(monoMs(200_100));
    expect(f.nextProbe(monoMs(200_200), up).atMono).toBe(204_100);
    expect(f.nextProbe(monoMs(200_200), { linkUp: true, toNextContactMs: 60_000 }).atMono).toBe(201_600);
  });

  test("a requested burst comes at once and brings back the pace of joining", () => {
    const f = synced(0.07, 200_000);
    f.requestBurst(monoMs(201_000));
    expect(f.nextProbe(monoMs(201_000), up).atMono).toBe(201_000);
  });
});
