/**
 * The default cue lists of rigs whose filter comes off at a total site, and of cameras that have
 * none by design; a function per list, each row one line of the tables in safety/SPEC.md, in the
 * order in which the cues come. All times and words are common practice, no source; what the
 * filter rows obey is in safety/allowance.ts.
 *
 * The hands-on times add up: no row begins before the hands of the row above are free again,
 * unless totality is too short, and then fit-cues.ts leaves rows out.
 */

import { type Allowance, EYES_DOWN_S } from "../safety/allowance.ts";
import { type CueRow, cueRow } from "./cue-row.ts";
import {
  capStop,
  eyesDownAnyway,
  filterAsked,
  filterStays,
  filterStaysAfter,
  firstBite,
  focusCardBattery,
  focusTape,
  frameFocus,
  glassesOn,
  handsOffLookUp,
  IN_TOTALITY,
  LOOKING_UP,
  loosenTape,
  partialAfter,
  partialBefore,
  retape,
  startFrames,
  stopCap,
} from "./cue-rows.ts";

/** In a totality longer than this, seconds, there is time for a second run of brackets. */
export const LONG_TOTALITY_S = 150;

/** S4: C2−20 s lies within every camera's allowance; its window ends 20 s before C3 (S11). */
function cameraFilterOff(allowance: Allowance, totalityS: number): CueRow {
  return cueRow("filter-off", "C2", -20, "filter-off", {
    confirm: true,
    handsS: 6,
    countInS: 10,
    earliestS: Math.max(-10, Math.min(0, allowance.offFrom.offsetS + 20)),
    latestS: Math.floor(Math.min(30, totalityS)),
  });
}
/** The filter back on; half a minute later it is asked for, and then taped again. */
const cameraFilterOn = () =>
  cueRow("filter-on", "C3", 5, "filter-on", {
    confirm: true,
    handsS: 8,
    countInS: 5,
    earliestS: -20,
    latestS: 10,
  });

const beadBefore = () => cueRow("bead-before", "C2", -60, "exposure", { handsS: 20, latestS: 30 });
const beadAfter = () => cueRow("bead-after", "C3", -25, "exposure", { handsS: 8, earliestS: -5, latestS: 8 });

const brackets = () =>
  cueRow("corona-brackets", "C2", 8, "exposure", {
    handsS: 15,
    countInS: 3,
    earliestS: -5,
    latestS: 20,
    within: IN_TOTALITY,
  });
/** As soon as a hand that had to wait for C2+10 s has taken the filter off, and shorter. */
const bracketsLookedThrough = () =>
  cueRow("corona-brackets", "C2", 16, "exposure", {
    handsS: 10,
    earliestS: 0,
    latestS: 20,
    within: IN_TOTALITY,
  });
const bracketsAgain = (totalityS: number) =>
  totalityS > LONG_TOTALITY_S
    ? [
        cueRow("brackets-again", "max", 15, "exposure", {
          key: "cue.corona-brackets",
          handsS: 15,
          countInS: 3,
          earliestS: -3,
          latestS: 20,
          within: IN_TOTALITY,
        }),
      ]
    : [];

export interface CameraExtras {
  recentre?: boolean;
  recentreOff?: boolean;
}

/** Tracked telescope, tripod camera or small automatic telescope; nobody looks through. */
export function cameraCues(allowance: Allowance, totalityS: number, extras: CameraExtras): CueRow[] {
  const recentre = (id: string, anchor: "C2" | "C3", offsetS: number) =>
    cueRow(id, anchor, offsetS, "recentre", { key: "cue.recentre", handsS: 20, latestS: 20 });
  return [
    focusTape(),
    firstBite(),
    partialBefore(),
    focusCardBattery("focus-card-battery", "C2", "cue.focus-card-battery"),
    loosenTape(-180),
    ...(extras.recentreOff ? [recentreOff()] : []),
    ...(extras.recentre ? [recentre("recentre", "C2", -90)] : []),
    beadBefore(),
    cameraFilterOff(allowance, totalityS),
    cueRow("burst-before", "C2", -12, "burst", { handsS: 10, countInS: 5, earliestS: -2, latestS: 10 }),
    brackets(),
    handsOffLookUp(),
    ...bracketsAgain(totalityS),
    ...(extras.recentre && totalityS > LONG_TOTALITY_S ? [recentre("recentre-again", "C3", -60)] : []),
    beadAfter(),
    cueRow("burst-after", "C3", EYES_DOWN_S, "burst", {
      handsS: 18,
      countInS: 5,
      earliestS: -2,
      latestS: 12,
    }),
    eyesDownAnyway(),
    cameraFilterOn(),
    partialAfter("C3", 30),
    retape(),
    capStop(),
  ];
}
/** It follows the Sun by its light: in totality it would drive off. Done in its menu, Sun or no Sun. */
const recentreOff = () =>
  cueRow("recentre-off", "C2", -120, "recentre", { handsS: 20, sun: { leadS: Number.POSITIVE_INFINITY } });

/** Video, recording from C2−300 s to C3+300 s without a stop; `allowance` null: no filter. */
export function videoCues(allowance: Allowance | null, totalityS: number): CueRow[] {
  const filtered = allowance !== null;
  return [
    filtered ? focusTape() : frameFocus("C1", -3600),
    focusCardBattery("focus-card-battery", "C2", "cue.focus-card-battery"),
    cueRow("record", "C2", -300, "record", {
      handsS: 10,
      earliestS: -60,
      latestS: 60,
      sun: { waitS: Number.POSITIVE_INFINITY },
    }),
    ...(filtered ? [loosenTape(-180), beadBefore(), cameraFilterOff(allowance, totalityS)] : []),
    cueRow("corona-exposure", "C2", 8, "exposure", {
      handsS: 6,
      earliestS: -5,
      latestS: 20,
      within: IN_TOTALITY,
    }),
    handsOffLookUp(),
    ...(filtered ? [beadAfter()] : []),
    glassesOn(),
    // Without a filter the bright landscape comes back at once; there is nothing to cover but the end.
    ...(filtered
      ? [cameraFilterOn(), filterAsked(), retape(), stopRecording(), capStop()]
      : [shortExposure(), stopCap("C3", 300)]),
  ];
}
const stopRecording = () =>
  cueRow("stop-recording", "C3", 300, "stop", { handsS: 10, earliestS: 0, latestS: 300 });
const shortExposure = () =>
  cueRow("short-exposure", "C3", -5, "exposure", { handsS: 8, earliestS: -5, latestS: 5 });

/** Wide landscape camera; `allowance` null when it has no filter by design. */
export function wideCues(allowance: Allowance | null, totalityS: number): CueRow[] {
  const filtered = allowance !== null;
  return [
    ...(filtered ? [focusTape()] : []),
    frameFocus("C2", -3600),
    startFrames("C2", -900),
    ...(filtered ? [loosenTape(-180)] : []),
    cueRow("lights-out", "C2", -120, "check", { handsS: 20, latestS: 60 }),
    ...(filtered ? [cameraFilterOff(allowance, totalityS)] : []),
    cueRow("long-bracket", "C2", 5, "exposure", {
      handsS: 10,
      countInS: 3,
      earliestS: -3,
      latestS: 20,
      within: IN_TOTALITY,
    }),
    cueRow("look-up", "max", 0, "look-up", {
      busyS: 5,
      earliestS: 0,
      latestS: 5,
      within: LOOKING_UP,
    }),
    glassesOn(),
    shortExposure(),
    ...(filtered ? [cameraFilterOn(), filterAsked(), retape()] : []),
    stopCap("C3", 900),
  ];
}

/**
 * Somebody looks through, and totality is long enough (S3). With a camera behind the same optics
 * the partial phases are exposed too; bursts at the beads are not, since they come while S3 keeps
 * the filter on.
 */
export function lookedThroughCues(totalityS: number, camera: boolean): CueRow[] {
  const long = totalityS >= 60;
  return [
    focusTape(),
    ...(camera
      ? [firstBite(), partialBefore(), focusCardBattery("focus-card-battery", "C2", "cue.focus-card-battery")]
      : [filterStays("C2", -360)]),
    cueRow("filter-firm", "C2", -300, "filter-check", { handsS: 20, latestS: 120 }),
    loosenTape(-120),
    cueRow("filter-off", "C2", 10, "filter-off", {
      confirm: true,
      handsS: 6,
      countInS: 5,
      earliestS: 0,
      // S11: after its window 40 s are left, wherever totality has them to give.
      latestS: Math.floor(Math.min(20, Math.max(0, totalityS - 50))),
    }),
    ...(camera ? [bracketsLookedThrough()] : []),
    handsOffLookUp(),
    ...(camera ? bracketsAgain(totalityS) : []),
    cueRow("eyes-away", "C3", long ? -25 : -22, "eyes-away", {
      countInS: 5,
      earliestS: -10,
      latestS: long ? 5 : 2,
    }),
    cueRow("filter-on", "C3", -18, "filter-on", {
      confirm: true,
      handsS: 6,
      earliestS: -10,
      latestS: 8,
    }),
    glassesOn(),
    camera ? partialAfter("C3", 30) : filterStaysAfter("C3", 30, "cue.filter-stays-asked"),
    retape(),
    capStop(),
  ];
}
