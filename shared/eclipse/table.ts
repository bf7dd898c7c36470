/**
 * The eclipses the product knows, with their elements: the hub's table, kept apart from the solver
 * so that a page, which needs one eclipse, never loads it. Built by scripts/build-elements.ts.
 */
import { type UtcMs, utcMs } from "../time/instants.ts";
import { parseIsoUtc } from "../time/iso.ts";
import { ttMs, utcFromTt } from "../time/time-scales.ts";
import type { EclipseKind } from "./circumstances-types.ts";
import type { BesselianElements } from "./elements.ts";
import packed from "./elements-table.json" with { type: "json" };
import { unpackRow } from "./packed-row.ts";

export interface EclipseSummary {
  id: string;
  kind: EclipseKind;
  greatestUtcMs: UtcMs;
  /** Least distance of the axis from the Earth's centre, Earth radii, north positive. */
  gamma: number;
  /** At greatest eclipse: ratio of the discs' diameters where central, else the fraction covered. */
  magnitude: number;
  /** Where the eclipse is greatest, degrees; sea level, ΔT of the elements. */
  latDeg: number;
  lonDeg: number;
  /** Length of the central phase there, seconds; 0 for a partial eclipse. */
  durationS: number;
}

const KINDS: Record<string, EclipseKind> = { T: "total", A: "annular", H: "hybrid", P: "partial" };

interface Row {
  summary: EclipseSummary;
  elements: BesselianElements;
}

let rows: Map<string, Row> | undefined;

/** Elements of the eclipse with this id (its date, YYYY-MM-DD), or undefined. */
export function eclipseById(id: string): BesselianElements | undefined {
  return table().get(id)?.elements;
}

/** Summary of the eclipse with this id, or undefined. */
export function eclipseSummary(id: string): EclipseSummary | undefined {
  return table().get(id)?.summary;
}

/** Eclipses whose greatest moment lies in from ≤ t < to, in order of time. */
export function eclipsesBetween(fromUtcMs: UtcMs, toUtcMs: UtcMs): EclipseSummary[] {
  return [...table().values()]
    .map((row) => row.summary)
    .filter((s) => s.greatestUtcMs >= fromUtcMs && s.greatestUtcMs < toUtcMs);
}

function table(): Map<string, Row> {
  rows ??= new Map(packed.map(unpack).map((row) => [row.summary.id, row]));
  return rows;
}

function unpack(line: string): Row {
  const row = unpackRow(line);
  const one = (values: number[]) => values[0] as number;
  const kind = KINDS[row.kind] as EclipseKind;
  const dayMs = parseIsoUtc(row.id) ?? utcMs(0);
  const greatestTtMs = ttMs(dayMs + one(row.greatestS) * 1000);
  const [latDeg = 0, lonDeg = 0] = row.place;
  return {
    elements: {
      id: row.id,
      kind,
      t0TtMs: ttMs(dayMs + one(row.t0H) * 3_600_000),
      greatestTtMs,
      deltaTS: one(row.deltaT),
      x: row.x,
      y: row.y,
      dDeg: row.d,
      muDeg: row.mu,
      l1: row.l1,
      l2: row.l2,
      tanF1: row.tanF[0] as number,
      tanF2: row.tanF[1] as number,
    },
    summary: {
      id: row.id,
      kind,
      greatestUtcMs: utcFromTt(greatestTtMs),
      gamma: one(row.gamma),
      magnitude: one(row.magnitude),
      latDeg,
      lonDeg,
      durationS: one(row.durationS),
    },
  };
}
