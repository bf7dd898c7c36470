/**
 * What one rig's optics, card and battery are good for in this eclipse: exposures, a bracket over
 * the corona, framing and drift, storage, power. What is not known is not said (null), never guessed.
 * Figures and sources: shared/budget.
 */
import { type Bracket, bracketsThatFit, coronaBracket } from "../../budget/bracket.ts";
import { type ExposureLine, type ExposureNeeds, exposures, workingOptics } from "../../budget/exposure.ts";
import { extinctionMag, lowSunStops } from "../../budget/extinction.ts";
import { discMm, driftMmPerS, fieldDeg, longestSharpS, pixelMm, radiiThatFit } from "../../budget/framing.ts";
import { emptyAtMs } from "../../budget/power.ts";
import { burstS, cardUse } from "../../budget/storage.ts";
import { type AnchorTimes, anchoredMs } from "../cue-times.ts";
import type { Equipment } from "../model/equipment.ts";
import type { Rig } from "../model/plan.ts";
import { takesOfRig } from "./takes-of-rig.ts";

export interface Framing {
  /** The Sun's image, mm and pixels; pixels null without a sensor. */
  sunMm: number;
  sunPx: number | null;
  fieldWidthDeg: number | null;
  fieldHeightDeg: number | null;
  /** Out to how many radii of the Sun the corona fits. */
  radiiThatFit: number | null;
  /** How fast the Sun moves over the sensor; null where the mount's rate is not known. */
  driftPxPerS: number | null;
  /** Within two pixels of drift (common practice, no source); null when nothing drifts or it is not known. */
  longestSharpS: number | null;
}

export interface RigBudget {
  exposure: ExposureLine[];
  /** Over the corona out to two radii, and how often it fits between the cues of totality. */
  bracket: (Bracket & { fits: number }) | null;
  framing: Framing | null;
  frames: number;
  storageGB: number | null;
  cardFullAtUtcMs: number | null;
  batteryEndsAtUtcMs: number | null;
  /** A burst at full rate until the camera's buffer is full, s. */
  burstS: number | null;
}

export interface EclipseSky {
  times: AnchorTimes;
  /** Of the Sun, "; at maximum: apparent height and declination, degrees. */
  sunRadiusArcsec: number;
  maxAltitudeDeg: number;
  declinationDeg: number;
  heightM: number;
}

/** The ISO where nobody has said one. */
export const USUAL_ISO = 100;
/** The same of a front filter's optical density. */
export const USUAL_DENSITY = 5;
/** Seconds after C2 and before C3 that beads, hands and filter want: common practice, no source. */
const BRACKETS_WITHIN_S = { afterC2: 5, beforeC3: 25 };
const SHARP_PX = 2;
const STEP_STOPS = 2;

export function rigBudget(
  rig: Pick<Rig, "kind" | "focalLengthMm" | "filter" | "cues">,
  equipment: Equipment,
  sky: EclipseSky,
): RigBudget {
  const { times } = sky;
  const focal = rig.focalLengthMm;
  const optics = focal === null ? undefined : workingOptics({ ...equipment, focalLengthMm: focal });
  const lossStops = Math.max(0, lowSunStops(Math.max(0, sky.maxAltitudeDeg), extinctionMag(sky.heightM)));
  const iso = equipment.iso ?? USUAL_ISO;
  const ownQ = Object.fromEntries((equipment.brightness ?? []).map(({ of, q }) => [of, q]));
  const exposure = optics
    ? exposures({
        fNumber: optics.fNumber,
        iso,
        filterDensity: rig.filter === "front" ? (equipment.filterDensity ?? USUAL_DENSITY) : null,
        lossStops,
        ownQ,
      })
    : [];
  const takes = takesOfRig(rig, equipment, times);
  const use = cardUse(takes, equipment.cardGB ?? Number.POSITIVE_INFINITY);
  const { batteryWh, drawW, burstPerS, bufferFrames, frameMB, cardMBPerS } = equipment;
  const startMs = anchoredMs(times, "C1", -3600);
  return {
    exposure,
    bracket: optics ? bracketOf(optics.fNumber, iso, lossStops, ownQ, equipment.shutterLagS, times) : null,
    framing: focal === null ? null : framingOf(focal * equipment.factor, equipment, sky),
    frames: use.frames,
    storageGB: takes.length > 0 ? use.usedGB : null,
    cardFullAtUtcMs: use.fullAtMs,
    batteryEndsAtUtcMs:
      batteryWh === null || drawW === null || startMs === null ? null : emptyAtMs(batteryWh, drawW, startMs),
    burstS:
      burstPerS === null || bufferFrames === null || frameMB === null || cardMBPerS === null
        ? null
        : finite(burstS(burstPerS, bufferFrames, frameMB, cardMBPerS)),
  };
}

function bracketOf(
  fNumber: number,
  iso: number,
  lossStops: number,
  ownQ: ExposureNeeds["ownQ"],
  gapS: number,
  times: AnchorTimes,
): RigBudget["bracket"] {
  if (times.c2 === null || times.c3 === null) return null;
  const bracket = coronaBracket({
    fNumber,
    iso,
    lossStops,
    ownQ,
    from: "prominences",
    to: "corona-2",
    stepStops: STEP_STOPS,
    gapS,
  });
  const leftS = (times.c3 - times.c2) / 1000 - BRACKETS_WITHIN_S.afterC2 - BRACKETS_WITHIN_S.beforeC3;
  return { ...bracket, fits: bracketsThatFit(bracket, leftS) };
}

function framingOf(focalLengthMm: number, equipment: Equipment, sky: EclipseSky): Framing {
  const { sensor, tracking } = equipment;
  const sunMm = discMm(focalLengthMm, sky.sunRadiusArcsec);
  const field = sensor ? fieldDeg(focalLengthMm, sensor) : null;
  const px = sensor ? pixelMm(sensor) : null;
  const driftMm = tracking === null ? null : driftMmPerS(focalLengthMm, sky.declinationDeg, tracking);
  return {
    sunMm,
    sunPx: px === null ? null : sunMm / px,
    fieldWidthDeg: field?.widthDeg ?? null,
    fieldHeightDeg: field?.heightDeg ?? null,
    radiiThatFit: sensor ? radiiThatFit(focalLengthMm, sensor, sky.sunRadiusArcsec) : null,
    driftPxPerS: px === null || driftMm === null ? null : driftMm / px,
    longestSharpS: px === null || driftMm === null ? null : finite(longestSharpS(driftMm, SHARP_PX * px)),
  };
}

function finite(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}
