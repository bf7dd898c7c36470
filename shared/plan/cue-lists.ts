/**
 * The default cue lists, a function per list; each row is one line of the tables in
 * safety/SPEC.md, in the order in which the cues come. All times and words are common practice,
 * no source; what the filter rows obey is in safety/allowance.ts.
 *
 * The hands-on times add up: no row begins before the hands of the row above are free again,
 * unless totality is too short, and then fit-cues.ts leaves rows out.
 */
import { type CueRow, cueRow, everyFiveMinutesUntil } from "./cue-row.ts";
import { type Allowance, EYES_DOWN_S } from "./safety/allowance.ts";

const IN_TOTALITY = { c2S: 0, c3S: 0 } as const;
const LOOKING_UP = { c2S: 0, c3S: EYES_DOWN_S } as const;

const focusTape = () =>
  cueRow("focus-tape", "C1", -3600, "align", { handsS: 600, earliestS: -1800, latestS: 2400 });
const firstBite = () => cueRow("first-bite", "C1", -30, "exposure", { handsS: 10, latestS: 60 });
const partialBefore = () =>
  cueRow("partial-before", "C1", 270, "exposure", {
    handsS: 10,
    latestS: 120,
    repeat: everyFiveMinutesUntil("C2", -640),
  });
const focusCardBattery = () =>
  cueRow("focus-card-battery", "C2", -600, "check", { handsS: 120, earliestS: -120, latestS: 240 });
const partialAfter = () =>
  cueRow("partial-after", "C3", 30, "exposure", {
    handsS: 10,
    latestS: 120,
    repeat: everyFiveMinutesUntil("C4", 0),
  });
const capStop = () => cueRow("cap-stop", "C4", 30, "cap", { handsS: 30, latestS: 900 });
const glassesOn = () =>
  cueRow("glasses-on", "C3", EYES_DOWN_S, "glasses-on", { earliestS: -15, latestS: 0, countInS: 5 });
const handsOffLookUp = () =>
  cueRow("look-up", "max", -10, "hands-off", {
    busyS: 20,
    earliestS: 0,
    latestS: 10,
    within: LOOKING_UP,
  });

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
const cameraFilterOn = () =>
  cueRow("filter-on", "C3", 5, "filter-on", {
    confirm: true,
    handsS: 8,
    countInS: 5,
    earliestS: -20,
    latestS: 10,
  });

export interface CameraExtras {
  recentre?: boolean;
  recentreOff?: boolean;
}

/** Tracked telescope, tripod camera or small automatic telescope; nobody looks through. */
export function cameraCues(allowance: Allowance, totalityS: number, extras: CameraExtras): CueRow[] {
  return [
    focusTape(),
    firstBite(),
    partialBefore(),
    focusCardBattery(),
    cueRow("loosen-tape", "C2", -180, "tape", { handsS: 30, latestS: 60 }),
    ...(extras.recentreOff ? [cueRow("recentre-off", "C2", -120, "recentre", { handsS: 20 })] : []),
    ...(extras.recentre ? [cueRow("recentre", "C2", -90, "recentre", { handsS: 20, latestS: 20 })] : []),
    cueRow("bead-before", "C2", -60, "exposure", { handsS: 20, latestS: 30 }),
    cameraFilterOff(allowance, totalityS),
    cueRow("burst-before", "C2", -12, "burst", { handsS: 10, countInS: 5, earliestS: -2, latestS: 10 }),
    cueRow("corona-brackets", "C2", 8, "exposure", {
      handsS: 15,
      countInS: 3,
      earliestS: -5,
      latestS: 20,
      within: IN_TOTALITY,
    }),
    handsOffLookUp(),
    cueRow("bead-after", "C3", -25, "exposure", { handsS: 8, earliestS: -5, latestS: 8 }),
    cueRow("burst-after", "C3", EYES_DOWN_S, "burst", {
      handsS: 18,
      countInS: 5,
      earliestS: -2,
      latestS: 12,
    }),
    cameraFilterOn(),
    partialAfter(),
    capStop(),
  ];
}

/** Video, recording from C2−300 s to C3+300 s without a stop; `allowance` null: no filter. */
export function videoCues(allowance: Allowance | null, totalityS: number): CueRow[] {
  const filtered = allowance !== null;
  return [
    filtered ? focusTape() : frameFocus("C1", -3600),
    focusCardBattery(),
    cueRow("record", "C2", -300, "record", { handsS: 10, earliestS: -60, latestS: 60 }),
    ...(filtered ? [cueRow("loosen-tape", "C2", -180, "tape", { handsS: 30, latestS: 60 })] : []),
    ...(filtered ? [cameraFilterOff(allowance, totalityS)] : []),
    cueRow("corona-exposure", "C2", 8, "exposure", {
      handsS: 6,
      earliestS: -5,
      latestS: 20,
      within: IN_TOTALITY,
    }),
    handsOffLookUp(),
    glassesOn(),
    ...(filtered ? [cameraFilterOn()] : []),
    cueRow("stop-recording", "C3", 300, "stop", { handsS: 10, earliestS: 0, latestS: 300 }),
    capStop(),
  ];
}

const frameFocus = (anchor: "C1" | "C2", offsetS: number) =>
  cueRow("frame-focus", anchor, offsetS, "frame", { handsS: 600, earliestS: -1800, latestS: 1800 });

/** Wide landscape camera; `allowance` null when it has no filter by design. */
export function wideCues(allowance: Allowance | null, totalityS: number): CueRow[] {
  const filtered = allowance !== null;
  return [
    frameFocus("C2", -3600),
    cueRow("start-frames", "C2", -900, "record", { handsS: 20, earliestS: -300, latestS: 300 }),
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
    cueRow("short-exposure", "C3", -5, "exposure", { handsS: 8, earliestS: -5, latestS: 5 }),
    ...(filtered ? [cameraFilterOn()] : []),
    cueRow("stop-cap", "C3", 900, "stop", { handsS: 60, earliestS: 0, latestS: 1800 }),
  ];
}

/** Somebody looks through, and totality is long enough (S3). */
export function lookedThroughCues(totalityS: number, camera: boolean): CueRow[] {
  const long = totalityS >= 60;
  return [
    focusTape(),
    cueRow("filter-stays", "C1", -30, "filter-check", {
      latestS: 120,
      repeat: everyFiveMinutesUntil("C2", -360),
    }),
    cueRow("filter-firm", "C2", -300, "filter-check", { handsS: 20, latestS: 120 }),
    cueRow("loosen-tape", "C2", -120, "tape", { handsS: 30, latestS: 60 }),
    cueRow("filter-off", "C2", 10, "filter-off", {
      confirm: true,
      handsS: 6,
      countInS: 5,
      earliestS: 0,
      // S11: after its window 40 s are left, wherever totality has them to give.
      latestS: Math.floor(Math.min(20, Math.max(0, totalityS - 50))),
    }),
    ...(camera
      ? [
          cueRow("corona-brackets", "C2", 18, "exposure", {
            handsS: 15,
            earliestS: 0,
            latestS: 20,
            within: IN_TOTALITY,
          }),
        ]
      : []),
    handsOffLookUp(),
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
    cueRow("filter-stays-after", "C3", 30, "filter-check", {
      latestS: 120,
      repeat: everyFiveMinutesUntil("C4", 0),
    }),
    capStop(),
  ];
}

/** Total site, but this rig's filter stays on: public queue, or too short to look through. */
export function filterStaysCues(publicQueue: boolean): CueRow[] {
  return [
    focusTape(),
    cueRow("filter-stays", "C1", -30, "filter-check", {
      latestS: 120,
      repeat: everyFiveMinutesUntil("C2", -180),
    }),
    cueRow(publicQueue ? "queue-pause" : "filter-firm", "C2", -120, "filter-check", { latestS: 60 }),
    handsOffLookUp(),
    glassesOn(),
    cueRow("filter-stays-after", "C3", 30, "filter-check", {
      latestS: 120,
      repeat: everyFiveMinutesUntil("C4", 0),
    }),
    capStop(),
  ];
}

/** Narrowband solar telescope at a total site, with a camera: S2. */
export function narrowbandCues(): CueRow[] {
  return [
    cueRow("focus-narrowband", "C1", -3600, "focus", { handsS: 600, earliestS: -1800, latestS: 2400 }),
    firstBite(),
    partialBefore(),
    cueRow("limb-exposure", "C2", -60, "exposure", { handsS: 20 }),
    handsOffLookUp(),
    glassesOn(),
    partialAfter(),
    capStop(),
  ];
}

/** Projection at a total site: S12. */
export function projectionCues(): CueRow[] {
  return [
    cueRow("screen-up", "C1", -3600, "align", { handsS: 600, earliestS: -1800, latestS: 2400 }),
    cueRow("guard", "C1", -30, "guard", { latestS: 120, repeat: everyFiveMinutesUntil("C2", -180) }),
    cueRow("projection-cap", "C2", -90, "cap", {
      confirm: true,
      handsS: 10,
      countInS: 5,
      earliestS: -60,
      latestS: 30,
    }),
    handsOffLookUp(),
    glassesOn(),
    cueRow("projection-uncap", "C3", 75, "guard", { handsS: 10, earliestS: -15, latestS: 300 }),
    cueRow("guard-after", "C3", 300, "guard", { latestS: 120, repeat: everyFiveMinutesUntil("C4", 0) }),
    capStop(),
  ];
}

/** Optics that nobody stands beside (S12), anywhere: capped before the people leave. */
export function leftAloneCues(): CueRow[] {
  return [
    focusTape(),
    cueRow("cap-leave", "C1", -300, "cap", { confirm: true, handsS: 30, earliestS: -2400, latestS: 270 }),
    cueRow("stop-alone", "C4", 30, "stop", { handsS: 30, latestS: 3600 }),
  ];
}

/** What a rig does at a site that is partial or annular (S2). */
export function partialCues(style: "camera" | "look" | "narrowband", annular: boolean): CueRow[] {
  const camera = style !== "look";
  const exposure = (id: string, anchor: "C2" | "max" | "C3", offsetS: number) =>
    cueRow(camera ? id : `${id}-look`, anchor, offsetS, camera ? "exposure" : "filter-check", {
      handsS: camera ? 10 : 0,
      busyS: 10,
      countInS: 3,
      earliestS: -10,
      latestS: 20,
    });
  return [
    style === "narrowband"
      ? cueRow("focus-narrowband", "C1", -3600, "focus", { handsS: 600, earliestS: -1800, latestS: 2400 })
      : focusTape(),
    cueRow("filter-stays", "C1", -30, "filter-check", {
      latestS: 120,
      repeat: everyFiveMinutesUntil("C4", 0),
    }),
    ...(annular ? [exposure("ring-begins", "C2", -5)] : []),
    exposure("maximum", "max", -5),
    ...(annular ? [exposure("ring-ends", "C3", -5)] : []),
    capStop(),
  ];
}

/** A camera without a filter by design at a partial or annular site. */
export function partialWideCues(): CueRow[] {
  return [
    frameFocus("C1", -3600),
    cueRow("start-frames", "C1", -300, "record", { handsS: 20, earliestS: -300, latestS: 300 }),
    cueRow("maximum-wide", "max", -5, "check", { latestS: 60 }),
    cueRow("stop-cap", "C4", 30, "stop", { handsS: 60, earliestS: 0, latestS: 1800 }),
  ];
}

/** Projection at a partial or annular site. */
export function partialProjectionCues(annular: boolean): CueRow[] {
  const show = (id: string, anchor: "C2" | "max" | "C3") =>
    cueRow(`${id}-screen`, anchor, -5, "guard", { busyS: 10, earliestS: -10, latestS: 20 });
  return [
    cueRow("screen-up", "C1", -3600, "align", { handsS: 600, earliestS: -1800, latestS: 2400 }),
    cueRow("guard", "C1", -30, "guard", { latestS: 120, repeat: everyFiveMinutesUntil("C4", 0) }),
    ...(annular ? [show("ring-begins", "C2")] : []),
    show("maximum", "max"),
    ...(annular ? [show("ring-ends", "C3")] : []),
    capStop(),
  ];
}
