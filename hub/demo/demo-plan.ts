/**
 * The demo's site and rigs: an invented field and an invented group on the real path of the next
 * total eclipse of this list. The places lie well inside the path but not on its middle, so that
 * a totality lasts two or three minutes and the demo comes round soon.
 */
import type { PlanDraft } from "../../shared/plan/model/plan.ts";

interface DemoSite {
  eclipse: string;
  /** Shortly after the last contact of this eclipse here; the next of the list is used from then on. */
  overUtcMs: number;
  name: string;
  latDeg: number;
  lonDeg: number;
  heightM: number;
}

/** Totality here for the smooth Moon, by this program: 186 s, 163 s, 128 s. */
const SITES: readonly DemoSite[] = [
  {
    eclipse: "2027-08-02",
    overUtcMs: Date.UTC(2027, 7, 2, 13),
    name: "Heron Flats",
    latDeg: 24.62,
    lonDeg: 32.6,
    heightM: 110,
  },
  {
    eclipse: "2028-07-22",
    overUtcMs: Date.UTC(2028, 6, 22, 7),
    name: "Saltbush Rise",
    latDeg: -28.5,
    lonDeg: 143,
    heightM: 130,
  },
  {
    eclipse: "2030-11-25",
    overUtcMs: Date.UTC(2030, 10, 25, 9),
    name: "Quartz Ridge",
    latDeg: -27.5,
    lonDeg: 27.5,
    heightM: 1400,
  },
];

export function demoPlan(now: number): PlanDraft {
  const site = SITES.find(({ overUtcMs }) => now < overUtcMs) ?? (SITES.at(-1) as DemoSite);
  const { eclipse, name, latDeg, lonDeg, heightM } = site;
  return {
    revision: 0,
    group: "Lantern Field Club",
    eclipse,
    site: { name, latDeg, lonDeg, heightM, zone: "", placeBoundM: 20, confirmed: true, skyline: [] },
    limb: true,
    acknowledged: [],
    rigs: [
      rig("east-mount", "East mount", "tracked-telescope", "Ines", 540),
      rig("tripod", "Long tripod", "tripod-camera", "Tomasz", 300),
      { ...rig("horizon", "Horizon camera", "wide-camera", "Marisol", 14), filter: "none by design" },
      rig("video", "Video", "video-camera", "Jun", 85),
      rig("robot", "Small robot", "small-automatic-telescope", "Petra", 250),
      { ...rig("eyepiece", "Eyepiece", "visual-telescope", "Bashir", 1200), lookedThrough: true },
    ],
  };
}

type DraftRig = PlanDraft["rigs"][number];

function rig(
  id: string,
  name: string,
  kind: DraftRig["kind"],
  operator: string,
  focalLengthMm: number,
): DraftRig {
  return {
    id,
    name,
    kind,
    operator,
    focalLengthMm,
    lookedThrough: false,
    publicQueue: false,
    unattended: false,
    filter: "front",
  };
}
