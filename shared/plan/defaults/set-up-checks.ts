/**
 * What a rig's operator looks at before first contact, one tap each. Common practice, no source.
 * Words under the key `check.<id>`; the order is the order of work.
 */
import type { Rig } from "../model/plan.ts";
import type { RigKind } from "../model/vocabulary.ts";
import { hasFilter } from "../safety/allowance.ts";

export const SET_UP_CHECKS = [
  "anchored",
  "level",
  "pointed",
  "framed",
  "aimed-by-shadow",
  "tracking",
  "focus",
  "filter-seated",
  "filters-in-place",
  "finder-covered",
  "screen",
  "barrier",
  "exposure-test",
  "card",
  "battery",
  "camera-clock",
  "clock-photographed",
  "cap-at-hand",
  "nobody-near",
  "eye-is-the-last-word",
] as const;
export type SetUpCheck = (typeof SET_UP_CHECKS)[number];

const CAMERA: readonly SetUpCheck[] = [
  "exposure-test",
  "card",
  "battery",
  "camera-clock",
  "clock-photographed",
];

const BY_KIND: Record<RigKind, readonly SetUpCheck[]> = {
  "tracked-telescope": [
    "anchored",
    "level",
    "pointed",
    "tracking",
    "focus",
    "finder-covered",
    ...CAMERA,
    "cap-at-hand",
  ],
  "tripod-camera": ["anchored", "level", "pointed", "focus", ...CAMERA, "cap-at-hand"],
  "wide-camera": ["anchored", "level", "framed", "focus", ...CAMERA],
  "video-camera": ["anchored", "level", "pointed", "focus", ...CAMERA, "cap-at-hand"],
  "small-automatic-telescope": [
    "anchored",
    "level",
    "pointed",
    "tracking",
    "focus",
    ...CAMERA,
    "cap-at-hand",
  ],
  "visual-telescope": ["anchored", "level", "pointed", "tracking", "focus", "finder-covered", "cap-at-hand"],
  binocular: ["anchored", "pointed", "focus", "cap-at-hand"],
  "narrowband-telescope": [
    "anchored",
    "level",
    "pointed",
    "tracking",
    "focus",
    "finder-covered",
    "cap-at-hand",
  ],
  projection: ["anchored", "level", "aimed-by-shadow", "screen", "barrier", "finder-covered", "cap-at-hand"],
};

/** The check list of a rig, in the order of work. */
export function setUpChecksFor(
  rig: Pick<Rig, "kind" | "filter" | "publicQueue" | "unattended">,
): SetUpCheck[] {
  const wanted = new Set<SetUpCheck>(BY_KIND[rig.kind]);
  wanted.add("nobody-near").add("eye-is-the-last-word");
  if (hasFilter(rig)) wanted.add(rig.kind === "narrowband-telescope" ? "filters-in-place" : "filter-seated");
  // Nobody is asked for a filter that is not there.
  else if (wanted.delete("pointed")) wanted.add("framed");
  if (rig.publicQueue || rig.unattended) wanted.add("barrier");
  return SET_UP_CHECKS.filter((check) => wanted.has(check));
}
