/**
 * Places and rigs of the model. Each length of totality is found by halving along a meridian, so
 * that a change of the solver's Sun or Moon moves the place and not the length. The places are
 * invented points in the open; nothing but their geometry matters.
 */
import { eclipseSummary } from "../../../shared/eclipse/table.ts";
import { type Predicted, predict } from "./adaptor.ts";

export interface Spot {
  eclipse: string;
  latDeg: number;
  lonDeg: number;
}

export type PlaceName = "long" | "middle" | "minute" | "short" | "edge" | "partial" | "annular";
/** Wanted length of totality, seconds. */
const LENGTH_S: Partial<Record<PlaceName, number>> = { middle: 108, minute: 60, short: 45, edge: 7.8 };
export const TOTAL_PLACES: readonly PlaceName[] = ["long", "middle", "minute", "short", "edge"];

const LON = 32.64;
const known = new Map<PlaceName, Spot>();

export function spotOf(name: PlaceName): Spot {
  let spot = known.get(name);
  if (!spot) {
    spot = find(name);
    known.set(name, spot);
  }
  return spot;
}

function find(name: PlaceName): Spot {
  const eclipse = "2027-08-02";
  if (name === "long") return { eclipse, latDeg: 25.69, lonDeg: LON };
  if (name === "partial") return { eclipse, latDeg: 23.5, lonDeg: LON };
  if (name === "annular") {
    const ring = eclipseSummary("2028-01-26");
    if (!ring) throw new Error("the table has no eclipse of 2028-01-26");
    return { eclipse: ring.id, latDeg: ring.latDeg, lonDeg: ring.lonDeg };
  }
  // From well inside the path southward to well outside it: the length falls all the way.
  let inside = 25;
  let outside = 24;
  for (let i = 0; i < 40; i++) {
    const latDeg = (inside + outside) / 2;
    if (predict({ eclipse, latDeg, lonDeg: LON }, 50).lengthS > (LENGTH_S[name] ?? 0)) inside = latDeg;
    else outside = latDeg;
  }
  return { eclipse, latDeg: inside, lonDeg: LON };
}

/** A spot so many metres north and east of another. */
export function aside(spot: Spot, northM: number, eastM: number): Spot {
  const latDeg = spot.latDeg + northM / 111_200;
  return { ...spot, latDeg, lonDeg: spot.lonDeg + eastM / (111_200 * Math.cos((latDeg * Math.PI) / 180)) };
}

export const RIG_DRAFTS = {
  tele: { kind: "tracked-telescope", focalLengthMm: 480 },
  longTele: { kind: "tracked-telescope", focalLengthMm: 1200 },
  tripod: { kind: "tripod-camera", focalLengthMm: 200 },
  auto: { kind: "small-automatic-telescope", focalLengthMm: 250 },
  video: { kind: "video-camera", focalLengthMm: 50 },
  eye: { kind: "visual-telescope", lookedThrough: true, focalLengthMm: 1200 },
  bino: { kind: "binocular", lookedThrough: true },
  finder: { kind: "tracked-telescope", lookedThrough: true, focalLengthMm: 480 },
  wide: { kind: "wide-camera", filter: "none by design", focalLengthMm: 14 },
  screen: { kind: "projection", filter: "none by design" },
  queue: { kind: "visual-telescope", publicQueue: true, lookedThrough: true },
  line: { kind: "narrowband-telescope", focalLengthMm: 400 },
} as const;
export type RigName = keyof typeof RIG_DRAFTS;
/** As in a plan: "video" becomes "rig-video". */
export const rigId = (name: RigName): string => `rig-${name.toLowerCase()}`;

/** Solves once for each place and bound. */
const solved = new Map<string, Predicted>();
export function predicted(spot: Spot, placeBoundM: number): Predicted {
  const key = `${spot.eclipse}/${spot.latDeg}/${spot.lonDeg}/${placeBoundM}`;
  const had = solved.get(key);
  if (had) return had;
  const fresh = predict(spot, placeBoundM);
  if (solved.size > 5000) solved.clear();
  solved.set(key, fresh);
  return fresh;
}
