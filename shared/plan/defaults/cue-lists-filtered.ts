/**
 * The default cue lists at a total site of rigs whose filter never comes off (S2, S3, S12). No
 * burst and no bead exposure is asked for: through a filter there is nothing at C2 and C3 to
 * catch. All times and words are common practice, no source.
 */
import { type CueRow, cueRow, everyFiveMinutesUntil } from "./cue-row.ts";
import {
  capStop,
  filterStays,
  filterStaysAfter,
  firstBite,
  focusCardBattery,
  focusNarrowband,
  focusTape,
  glassesOn,
  lookUpAtOnce,
  partialAfter,
  partialBefore,
  STAYS_KEY,
} from "./cue-rows.ts";

/**
 * Somebody looks through: a public queue, a narrowband telescope, or a totality too short to open
 * for (S3). Behind a filter totality is black, so they are sent away from the eyepiece to see it,
 * once it is there (S13: that is a "look up", and never said before). `camera`: there is one behind
 * the same optics, which goes on with the partial phases.
 */
export function filterStaysCues(publicQueue: boolean, camera: boolean): CueRow[] {
  return [
    focusTape(),
    ...(camera
      ? [
          firstBite(),
          partialBefore(),
          focusCardBattery("focus-card-battery", "C2", "cue.focus-card-battery-stays"),
        ]
      : [filterStays("C2", -180)]),
    cueRow(publicQueue ? "queue-pause" : "filter-firm", "C2", -120, "filter-check", {
      latestS: 60,
      ...(publicQueue ? {} : { key: "cue.filter-firm-stays" }),
    }),
    lookUpAtOnce("cue.look-up-leave"),
    glassesOn(),
    camera ? partialAfter("C3", 30, STAYS_KEY) : filterStaysAfter("C3", 30),
    capStop(),
  ];
}

/** A camera that nobody looks through: narrowband (S2), or with no time to take the filter off. */
export function filteredCameraCues(narrowband: boolean): CueRow[] {
  return [
    narrowband ? focusNarrowband() : focusTape(),
    firstBite(),
    partialBefore(),
    focusCardBattery("focus-card-battery", "C2", "cue.focus-card-battery-stays"),
    ...(narrowband ? [cueRow("limb-exposure", "C2", -60, "exposure", { handsS: 20 })] : []),
    lookUpAtOnce(),
    glassesOn(),
    partialAfter("C3", 30, STAYS_KEY),
    capStop(),
  ];
}

/** Projection: S12. */
export function projectionCues(): CueRow[] {
  return [
    screenUp(),
    guard("C2", -180),
    cueRow("projection-cap", "C2", -90, "cap", {
      confirm: true,
      handsS: 10,
      countInS: 5,
      earliestS: -60,
      latestS: 30,
    }),
    lookUpAtOnce(),
    glassesOn(),
    cueRow("projection-uncap", "C3", 75, "guard", { handsS: 10, earliestS: -15, latestS: 300 }),
    guardAfter("C3"),
    capStop(true),
  ];
}
/** Screen, barrier and beam are set up without the Sun, but not long before it. */
export const screenUp = () =>
  cueRow("screen-up", "C1", -3600, "align", {
    handsS: 600,
    earliestS: -1800,
    latestS: 2400,
    sun: { leadS: 2400, waitS: Number.POSITIVE_INFINITY },
  });
export const guard = (anchor: "C2" | "max", offsetS: number) =>
  cueRow("guard", "C1", -30, "guard", { latestS: 120, repeat: everyFiveMinutesUntil(anchor, offsetS) });
export const guardAfter = (anchor: "C3" | "max") =>
  cueRow("guard-after", anchor, 300, "guard", {
    key: "cue.guard",
    latestS: 120,
    repeat: everyFiveMinutesUntil("C4", 0),
  });

/** Optics that nobody stands beside (S12), anywhere: capped before the people leave. */
export function leftAloneCues(): CueRow[] {
  return [
    focusTape(false),
    cueRow("cap-leave", "C1", -300, "cap", { confirm: true, handsS: 30, earliestS: -2400, latestS: 270 }),
    cueRow("stop-alone", "C4", 30, "stop", { handsS: 30, latestS: 3600 }),
  ];
}
