/**
 * Who operates the demo's rigs, and how they are. Everything here is invented.
 */
import type { Person } from "../people/person.ts";

export const PEOPLE: readonly Person[] = [
  {
    rigId: "east-mount",
    device: "phone (Android)",
    reactionS: [0.4, 1],
    card: { startGB: 58, perShotGB: 1.1, perMinuteGB: 0 },
    battery: { startPct: 92, perMinutePct: 0.4 },
    moments: [],
  },
  {
    rigId: "tripod",
    device: "phone (iOS)",
    reactionS: [2.5, 5],
    card: { startGB: 24, perShotGB: 0.8, perMinuteGB: 0 },
    battery: { startPct: 71, perMinutePct: 0.5 },
    // Long enough that the danger is seen, short enough that the sensor would have lived.
    forgets: { cueId: "filter-on", remindedAfterS: 34 },
    moments: [],
  },
  {
    rigId: "horizon",
    device: "tablet (Android)",
    reactionS: [1, 2.5],
    card: { startGB: 7.2, perShotGB: 0.6, perMinuteGB: 1.05 },
    battery: { startPct: 64, perMinutePct: 0.6 },
    moments: [{ anchor: "C3", offsetS: 55, report: { cardFreeGB: 59.6 } }],
  },
  {
    rigId: "video",
    device: "phone (Android)",
    reactionS: [1, 2],
    card: { startGB: 112, perShotGB: 0, perMinuteGB: 0.75 },
    battery: { startPct: 26, perMinutePct: 2.6 },
    moments: [
      // Recording since C2−300 s, before the demo begins.
      { anchor: "C2", offsetS: -225, report: { recording: true, cueDone: "record" } },
      { anchor: "C3", offsetS: 75, report: { batteryPct: 88 } },
    ],
    outOfReach: [38, 66],
  },
  {
    rigId: "robot",
    device: "phone (iOS)",
    reactionS: [0.8, 2],
    card: { startGB: 31, perShotGB: 0.5, perMinuteGB: 0 },
    battery: { startPct: 83, perMinutePct: 0.8 },
    moments: [
      { anchor: "C2", offsetS: -165, report: { tracking: false, help: true } },
      { anchor: "C2", offsetS: -108, report: { tracking: true, help: false } },
    ],
  },
  {
    rigId: "eyepiece",
    device: "phone (Android)",
    reactionS: [0.3, 0.8],
    card: null,
    battery: { startPct: 55, perMinutePct: 0.3 },
    moments: [],
  },
];
