/**
 * The rows that several default lists have in common. What each list makes of them stands in
 * cue-lists.ts (the filter comes off), cue-lists-filtered.ts (total, yet it stays on) and
 * cue-lists-partial.ts. All times and words are common practice, no source.
 */

import type { Anchor } from "../model/vocabulary.ts";
import { EYES_DOWN_S } from "../safety/allowance.ts";
import { type CueRow, cueRow, everyFiveMinutesUntil } from "./cue-row.ts";

/** Where a series of the partial phase ends: before the preparations for C2, or for maximum. */
export type Middle = Extract<Anchor, "C2" | "max">;

/** Any time between C2 and C3; until the eyes are to be down again. */
export const IN_TOTALITY = { c2S: 0, c3S: 0 } as const;
export const LOOKING_UP = { c2S: 0, c3S: EYES_DOWN_S } as const;

/** The words a filtered rig hears where other rigs are asked whether the filter is on again. */
export const STAYS_KEY = "cue.partial-before";

/** As soon as the Sun stands clear of the horizon, where everything was set up in the dark. */
const sunUp = () => cueRow("sun-up", "max", 0, "focus", { handsS: 60, earliestS: 0, latestS: 180 });

const BEFORE_SUNRISE = { action: "check", leadS: 2400 } as const;
/** The Sun has to stand clear of the horizon before anything can be focused on it. */
const ONCE_CLEAR = { leadS: -120 } as const;

export function focusTape(comeBack = true): CueRow {
  return cueRow("focus-tape", "C1", -3600, "align", {
    handsS: 600,
    earliestS: -1800,
    latestS: 2400,
    sun: {
      ...ONCE_CLEAR,
      dark: { ...BEFORE_SUNRISE, key: "cue.focus-tape-dark", risen: comeBack ? sunUp() : null },
    },
  });
}
/** A narrowband telescope shows nothing but the Sun: in the dark it can only be set up. */
export const focusNarrowband = () =>
  cueRow("focus-narrowband", "C1", -3600, "focus", {
    handsS: 600,
    earliestS: -1800,
    latestS: 2400,
    sun: { ...ONCE_CLEAR, dark: { ...BEFORE_SUNRISE, key: "cue.filter-firm-stays", risen: sunUp() } },
  });
export const frameFocus = (anchor: "C1" | "C2", offsetS: number) =>
  cueRow("frame-focus", anchor, offsetS, "frame", {
    handsS: 600,
    earliestS: -1800,
    latestS: 1800,
    sun: { waitS: Number.POSITIVE_INFINITY },
  });
export const startFrames = (anchor: "C1" | "C2", offsetS: number) =>
  cueRow("start-frames", anchor, offsetS, "record", {
    handsS: 20,
    earliestS: -300,
    latestS: 300,
    // A landscape at sunrise is worth its frames.
    sun: { leadS: 600, waitS: Number.POSITIVE_INFINITY },
  });

export function focusCardBattery(id: string, anchor: Anchor, key: string, offsetS = -600): CueRow {
  return cueRow(id, anchor, offsetS, "check", {
    key,
    handsS: 120,
    earliestS: -120,
    latestS: 240,
    // Just after sunrise there is the focus alone to look at; card and battery can be seen to before.
    sun: {
      leadS: -200,
      waitS: 0,
      dark: { key: "cue.card-battery", action: "check", leadS: 1500, risen: null },
    },
  });
}

export const firstBite = () => cueRow("first-bite", "C1", -30, "exposure", { handsS: 10, latestS: 60 });
export const partialBefore = () =>
  cueRow("partial-before", "C1", 270, "exposure", {
    handsS: 10,
    latestS: 120,
    repeat: everyFiveMinutesUntil("C2", -640),
    sun: { leadS: -300 },
  });
export const partialAfter = (anchor: "C3" | "max", offsetS: number, key = "cue.partial-after") =>
  cueRow("partial-after", anchor, offsetS, "exposure", {
    key,
    handsS: 10,
    latestS: 120,
    repeat: everyFiveMinutesUntil("C4", 0),
    sun: { leadS: -300 },
  });
/** The words of partialAfter once, for a rig that makes no series. */
export const filterAsked = () => cueRow("partial-after", "C3", 30, "exposure", { handsS: 10, latestS: 120 });

export const filterStays = (anchor: Middle, offsetS: number) =>
  cueRow("filter-stays", "C1", -30, "filter-check", {
    latestS: 120,
    repeat: everyFiveMinutesUntil(anchor, offsetS),
  });
export const filterStaysAfter = (anchor: "C3" | "max", offsetS: number, key = "cue.filter-stays") =>
  cueRow("filter-stays-after", anchor, offsetS, "filter-check", {
    key,
    latestS: 120,
    repeat: everyFiveMinutesUntil("C4", 0),
  });

export const loosenTape = (offsetS: number) =>
  cueRow("loosen-tape", "C2", offsetS, "tape", { handsS: 30, latestS: 60 });
/** For every rig whose filter came off: in the wind of the next hour it is to stay where it is. */
export const retape = () =>
  cueRow("retape", "C3", 60, "tape", { key: "cue.tape", handsS: 20, earliestS: -20, latestS: 180 });

const GLASSES_ON = { earliestS: -15, latestS: 0, countInS: 5 } as const;
export const glassesOn = () => cueRow("glasses-on", "C3", EYES_DOWN_S, "glasses-on", GLASSES_ON);
/** Where "Eyes down. Burst." had to go, its eyes still have to come down (S13). */
export const eyesDownAnyway = () =>
  cueRow("glasses-on", "C3", EYES_DOWN_S, "glasses-on", {
    ...GLASSES_ON,
    unless: "burst-after",
    within: IN_TOTALITY,
  });
export const handsOffLookUp = () =>
  cueRow("look-up", "max", -10, "hands-off", {
    busyS: 20,
    earliestS: 0,
    latestS: 10,
    within: LOOKING_UP,
  });
/** Where hands have nothing to do in totality, eyes go up as soon as it is there. */
export const lookUpAtOnce = (key = "cue.look-up") =>
  cueRow("look-up", "C2", 3, "look-up", {
    key,
    busyS: 5,
    earliestS: 0,
    latestS: 5,
    within: LOOKING_UP,
  });

/** `confirm`: who looks into a projection that is left uncapped is hurt (S12). */
export const capStop = (confirm = false) =>
  cueRow("cap-stop", "C4", 30, "cap", {
    confirm,
    handsS: 30,
    latestS: 900,
    sun: { set: "close" },
  });
export const stopCap = (anchor: "C3" | "C4", offsetS: number) =>
  cueRow("stop-cap", anchor, offsetS, "stop", {
    handsS: 60,
    earliestS: 0,
    latestS: 1800,
  });

/**
 * For every camera, once it is capped and stopped: its clock has drifted since the set-up check of
 * before, and a second set of photographs says by how much. No Sun is needed, and none is to be near.
 * `stays`: a filter is there that never comes off, as every cue of such a rig says (S2).
 */
export const photographClock = (stays: boolean) =>
  cueRow("photograph-clock", "C4", 300, "check", {
    key: stays ? "cue.photograph-clock-stays" : "cue.photograph-clock",
    handsS: 60,
    earliestS: 0,
    latestS: 3600,
    sun: { set: "afterwards" },
  });
