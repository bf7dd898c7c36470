/**
 * The default cue lists at a site that is partial or annular: the filter stays on throughout (S2),
 * and nearly every row says so. Preparation before C1 and before the middle of it, a series every
 * five minutes, bursts where the ring begins and ends. All times and words are common practice, no
 * source.
 */

import type { LocalEclipse } from "../local-eclipse.ts";
import { guard, guardAfter, screenUp } from "./cue-lists-filtered.ts";
import { type CueRow, cueRow, everyFiveMinutesUntil } from "./cue-row.ts";
import {
  capStop,
  filterStays,
  filterStaysAfter,
  firstBite,
  focusCardBattery,
  focusNarrowband,
  focusTape,
  frameFocus,
  type Middle,
  partialAfter,
  STAYS_KEY,
  startFrames,
  stopCap,
} from "./cue-rows.ts";

/** The middle of it: where the ring begins, or maximum. */
const middleOf = (annular: boolean): Middle => (annular ? "C2" : "max");

/** When it goes on after that: half a minute after the ring has ended, or five minutes after maximum. */
const AFTER = { ring: ["C3", 30], maximum: ["max", 300] } as const;

/**
 * The series before the middle, on its beat: it is counted back from there, so that the last
 * exposures come five minutes apart up to it, and the check at −570 s lies between two of them.
 */
function seriesBefore(middle: Middle, lastS: number, { contacts }: LocalEclipse): CueRow[] {
  const middleMs = middle === "C2" ? contacts.c2 : contacts.max;
  if (contacts.c1 === null || middleMs === null) return [];
  const firstS = -300 * Math.floor((middleMs - contacts.c1) / 300_000);
  if (firstS > lastS) return [];
  return [
    cueRow("partial-before", middle, firstS, "exposure", {
      handsS: 10,
      latestS: 120,
      repeat: firstS === lastS ? null : everyFiveMinutesUntil(middle, lastS),
      sun: { leadS: -300, waitS: Number.POSITIVE_INFINITY },
    }),
  ];
}
const check = (id: string, anchor: "C1" | Middle, offsetS: number) =>
  focusCardBattery(id, anchor, "cue.focus-card-battery-stays", offsetS);

/** A camera that nobody looks through. */
export function partialCameraCues(gets: LocalEclipse, narrowband: boolean): CueRow[] {
  const annular = gets.kind === "annular";
  const middle = middleOf(annular);
  const [anchor, offsetS] = annular ? AFTER.ring : AFTER.maximum;
  const shot = (id: string, anchor: "C2" | "max" | "C3", action: "burst" | "exposure") =>
    cueRow(id, anchor, -5, action, { handsS: 10, countInS: 3, earliestS: -10, latestS: 20 });
  return [
    ...preparation(narrowband),
    firstBite(),
    ...seriesBefore(middle, -300, gets),
    check("focus-card-battery", middle, -570),
    ...(annular ? [shot("ring-begins", "C2", "burst")] : []),
    shot("maximum", "max", "exposure"),
    ...(annular ? [shot("ring-ends", "C3", "burst")] : []),
    partialAfter(anchor, offsetS, STAYS_KEY),
    capStop(),
  ];
}

/** Video: a recording through the ring, or through maximum, and single exposures before and after. */
export function partialVideoCues(gets: LocalEclipse): CueRow[] {
  const annular = gets.kind === "annular";
  const middle = middleOf(annular);
  const last = annular ? "C3" : "max";
  return [
    ...preparation(false),
    firstBite(),
    ...seriesBefore(middle, -600, gets),
    check("focus-card-battery", middle, -570),
    cueRow("record", middle, -300, "record", {
      key: "cue.record-stays",
      handsS: 10,
      earliestS: -60,
      latestS: 60,
      sun: { waitS: 300 },
    }),
    cueRow("maximum", "max", -5, "exposure", {
      key: "cue.maximum-look",
      handsS: 10,
      countInS: 3,
      earliestS: -10,
      latestS: 20,
    }),
    cueRow("stop-recording", last, 300, "stop", {
      key: "cue.stop-recording-stays",
      handsS: 10,
      earliestS: 0,
      latestS: 300,
    }),
    partialAfter(last, 600, STAYS_KEY),
    capStop(),
  ];
}

const preparation = (narrowband: boolean) => [
  narrowband ? focusNarrowband() : focusTape(),
  check("focus-card-battery-first", "C1", -600),
];

/** Somebody looks through, with or without a queue. */
export function partialLookCues(annular: boolean): CueRow[] {
  const middle = middleOf(annular);
  const [anchor, offsetS] = annular ? AFTER.ring : AFTER.maximum;
  const see = (id: string, anchor: "C2" | "max" | "C3") =>
    cueRow(id, anchor, -5, "filter-check", { busyS: 10, countInS: 3, earliestS: -10, latestS: 20 });
  return [
    focusTape(),
    cueRow("filter-firm", "C1", -300, "filter-check", {
      key: "cue.filter-firm-stays",
      handsS: 20,
      latestS: 120,
    }),
    filterStays(middle, -180),
    ...(annular ? [see("ring-begins-look", "C2")] : []),
    see("maximum-look", "max"),
    ...(annular ? [see("ring-ends-look", "C3")] : []),
    filterStaysAfter(anchor, offsetS),
    capStop(),
  ];
}

/** A camera without a filter by design. */
export function partialWideCues(): CueRow[] {
  return [
    frameFocus("C1", -3600),
    startFrames("C1", -300),
    cueRow("maximum-wide", "max", -5, "check", { latestS: 60 }),
    stopCap("C4", 30),
  ];
}

/** Projection. */
export function partialProjectionCues(annular: boolean): CueRow[] {
  const show = (id: string, anchor: "C2" | "max" | "C3") =>
    cueRow(`${id}-screen`, anchor, -5, "guard", { busyS: 10, earliestS: -10, latestS: 20 });
  return [
    screenUp(),
    guard(middleOf(annular), -180),
    ...(annular ? [show("ring-begins", "C2")] : []),
    show("maximum", "max"),
    ...(annular ? [show("ring-ends", "C3")] : []),
    guardAfter(annular ? "C3" : "max"),
    capStop(true),
  ];
}
