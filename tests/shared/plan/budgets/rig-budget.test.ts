/** Budgets of whole rigs, each figure worked by hand beside it. */
import { describe, expect, test } from "vitest";
import { rigBudget } from "../../../../shared/plan/budgets/rig-budget.ts";
import { takesOfRig } from "../../../../shared/plan/budgets/takes-of-rig.ts";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { type Equipment, NO_EQUIPMENT, walkBetweenS } from "../../../../shared/plan/model/equipment.ts";
import { C2_MS, ownCue, rigOf, totalSite } from "../sites-and-rigs.ts";

const gets = totalSite(240);
const sky = {
  times: gets.contacts,
  sunRadiusArcsec: 959.63,
  maxAltitudeDeg: 70,
  declinationDeg: 18,
  heightM: 100,
};
const equipment = (more: Partial<Equipment>): Equipment => ({ ...NO_EQUIPMENT, ...more });
const SENSOR = { widthMm: 36, heightMm: 24, widthPx: 6000, heightPx: 4000 };

describe("what is not known is not said", () => {
  test("without equipment: only the Sun's size, which hangs on the focal length alone", () => {
    const budget = rigBudget(rigOf("tracked-telescope"), NO_EQUIPMENT, sky);
    expect(budget).toMatchObject({
      exposure: [],
      bracket: null,
      storageGB: null,
      cardFullAtUtcMs: null,
      batteryEndsAtUtcMs: null,
      burstS: null,
    });
    // 400 mm: 2 · 400 · tan(959.63″) = 3.722 mm (about 400 / 109 = 3.67, RP 1398).
    expect(budget.framing?.sunMm).toBeCloseTo(3.722, 3);
    expect(budget.framing?.sunPx).toBeNull();
    expect(
      rigBudget(rigOf("tracked-telescope", { focalLengthMm: null }), NO_EQUIPMENT, sky).framing,
    ).toBeNull();
  });
});

test("own brightness values take the table's place, in times and in the bracket", () => {
  const optics = { fNumber: 8, iso: 100 };
  const known = rigBudget(rigOf("tracked-telescope"), equipment(optics), sky);
  const own = equipment({ ...optics, brightness: [{ of: "prominences", q: 8 }] });
  const budget = rigBudget(rigOf("tracked-telescope"), own, sky);
  const secondsOf = (of: string, from: typeof budget) =>
    from.exposure.find(({ phenomenon }) => phenomenon === of)?.seconds ?? Number.NaN;
  // t = f²/(ISO·2^Q) (NASA RP 1369): 64 / (100 · 2^8) = 1/400 s, twice what Q 9 gives.
  // The air takes a hundredth or two at 70° of height.
  expect(secondsOf("prominences", budget) * 400).toBeGreaterThan(1);
  expect(secondsOf("prominences", budget) * 400).toBeLessThan(1.03);
  expect(secondsOf("prominences", budget)).toBeCloseTo(2 * secondsOf("prominences", known), 9);
  expect(secondsOf("corona-1", budget)).toBe(secondsOf("corona-1", known));
  // The bracket begins at the prominences.
  expect(budget.bracket?.frames[0]?.seconds).toBeGreaterThan(known.bracket?.frames[0]?.seconds ?? 9);
});

test("optics and sensor give exposures, a bracket and framing", () => {
  const rig = rigOf("tracked-telescope", { focalLengthMm: 480 });
  const budget = rigBudget(
    rig,
    equipment({ apertureMm: 80, factor: 1.5, sensor: SENSOR, tracking: "none", iso: 200, filterDensity: 5 }),
    sky,
  );
  // f/9, ISO 200, Q 8: 81 / (200 · 256) = 1/632 s, a Sun at 70° loses 0.02 stop more than one overhead.
  const [partial] = budget.exposure;
  expect(partial?.phenomenon).toBe("partial");
  expect(1 / (partial?.seconds ?? 1)).toBeCloseTo(632 / 2 ** 0.024, -1);
  // 720 mm on 6 µm pixels: 6.70 mm, 1117 px; drift 15″/s · cos 18° is 8.3 px/s; two pixels in 0.24 s.
  expect(budget.framing?.sunPx).toBeCloseTo(1116.6, 0);
  expect(budget.framing?.driftPxPerS).toBeCloseTo(
    (720 * 7.272e-5 * Math.cos((18 * Math.PI) / 180)) / 0.006,
    2,
  );
  expect(budget.framing?.longestSharpS).toBeCloseTo(0.241, 3);
  expect(budget.framing?.radiiThatFit).toBeCloseTo(24 / 6.7, 2);
  expect(budget.bracket?.frames.length).toBeGreaterThan(4);
  expect(budget.bracket?.fits).toBe(Math.floor((240 - 30) / (budget.bracket?.lengthS ?? 1)));
  // Without a filter by design no partial phase is offered.
  expect(
    rigBudget({ ...rig, filter: "none by design" }, equipment({ apertureMm: 80 }), sky).exposure[0]
      ?.phenomenon,
  ).toBe("beads");
});

describe("storage", () => {
  test("video from its cue to its stop, by hand: C2−300 to C3+300 at 55 Mbit/s is 5.775 GB", () => {
    const rig = rigOf("video-camera");
    const cues = defaultCues(rig, gets);
    const budget = rigBudget({ ...rig, cues }, equipment({ videoMbitPerS: 55, cardGB: 4 }), sky);
    // 840 s · 55/8 MB.
    expect(budget.storageGB).toBeCloseTo(5.775, 6);
    // Full after 4000 / 6.875 s = 581.8 s.
    expect(((budget.cardFullAtUtcMs ?? 0) - (C2_MS - 300_000)) / 1000).toBeCloseTo(581.8, 1);
  });

  test("single frames, a bracket and a burst, by hand", () => {
    const bracket = { exposuresS: [0.001, 0.01, 0.1], iso: null, fNumber: null };
    const cues = [
      ownCue({ id: "one", action: "exposure", anchor: "C1", offsetS: 0 }),
      { ...ownCue({ id: "three", action: "exposure", anchor: "C2", offsetS: 10 }), camera: bracket },
      ownCue({ id: "many", action: "burst", anchor: "C3", offsetS: -15, handsS: 18 }),
    ];
    const takes = takesOfRig(
      { kind: "tracked-telescope", cues },
      equipment({ frameMB: 25, burstPerS: 5 }),
      gets.contacts,
    );
    const frames = takes.map(({ framesPerS, fromMs, untilMs }) => (framesPerS * (untilMs - fromMs)) / 1000);
    expect(frames.map(Math.round)).toEqual([1, 3, 90]);
    const budget = rigBudget(
      { ...rigOf("tracked-telescope"), cues },
      equipment({ frameMB: 25, burstPerS: 5 }),
      sky,
    );
    expect(budget.frames).toBe(94);
    expect(budget.storageGB).toBeCloseTo((94 * 25) / 1000, 6);
  });

  test("a wide camera that records takes a frame every ten seconds until its stop", () => {
    const rig = rigOf("wide-camera");
    const cues = defaultCues(rig, gets);
    // C2−900 to C3+900: 2040 s, 204 frames; two single exposures besides.
    expect(rigBudget({ ...rig, cues }, equipment({ frameMB: 10 }), sky).frames).toBe(206);
  });
});

test("battery and buffer, by hand", () => {
  const budget = rigBudget(
    rigOf("tracked-telescope"),
    equipment({ batteryWh: 50, drawW: 10, burstPerS: 10, bufferFrames: 20, frameMB: 25, cardMBPerS: 100 }),
    sky,
  );
  // 50 · 0.8 / 10 = 4 h from an hour before C1.
  expect(budget.batteryEndsAtUtcMs).toBe((gets.contacts.c1 ?? 0) - 3_600_000 + 4 * 3_600_000);
  expect(budget.burstS).toBeCloseTo(20 / 6, 9);
});

test("ways on the field: 12 m are 2 s of turning and 10 s of walking", () => {
  expect(walkBetweenS({ eastM: 0, northM: 0 }, { eastM: 12, northM: 0 })).toBeCloseTo(12, 9);
  expect(walkBetweenS(null, { eastM: 1, northM: 1 })).toBeUndefined();
});
