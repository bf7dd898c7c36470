/**
 * One eclipse's row of the table: elements fitted to the theories, its kind, and the summary shown
 * in lists. Kind is decided with the product's own solver at sea level: does the axis meet the
 * ground, does the umbra touch it at all, is the central phase total or annular along the way.
 */
import { circumstances } from "../../shared/eclipse/circumstances.ts";
import type { EclipseKind } from "../../shared/eclipse/circumstances-types.ts";
import { deltaTAt } from "../../shared/eclipse/delta-t.ts";
import {
  type BesselianElements,
  MS_PER_HOUR,
  polynomial,
  polynomialRate,
} from "../../shared/eclipse/elements.ts";
import { decimalsOf, type TableRow } from "../../shared/eclipse/packed-row.ts";
import { zeroBetween } from "../../shared/eclipse/roots.ts";
import { observerAt, ShadowAtPlace } from "../../shared/eclipse/shadow-at-place.ts";
import { EarthDisc, type GroundPoint } from "../../shared/eclipse/shadow-on-earth.ts";
import { isoDate } from "../../shared/time/iso.ts";
import { ttMs, utcFromTt } from "../../shared/time/time-scales.ts";
import { FIT_HOURS, fitPolynomial } from "./fit.ts";
import { type Shadow, shadowAt } from "./shadow.ts";

/** The row for the conjunction near an instant of TT, or null when the shadow misses the Earth. */
export function buildRow(nearTtMs: number): TableRow | null {
  const rough = roughGreatest(nearTtMs);
  if (rough === null) return null;
  const elements = fittedElements(Math.round(rough / MS_PER_HOUR) * MS_PER_HOUR);
  const greatestH = zeroBetween((t) => approach(elements, t), -1.5, 1.5, 1e-7);
  const greatestTtMs = ttMs(elements.t0TtMs + Math.round(greatestH * MS_PER_HOUR));
  const deltaTS = deltaTAt(utcFromTt(greatestTtMs)).deltaTS;
  const timed: BesselianElements = { ...elements, greatestTtMs, id: isoDate(greatestTtMs) };
  const phase = phaseOf(timed, greatestH, deltaTS);
  if (phase === null) return null;
  const x = polynomial(elements.x, greatestH);
  const y = polynomial(elements.y, greatestH);
  const c = circumstances(timed, { ...phase.place, heightM: 0 }, { deltaTS });
  const dayMs = Math.floor(greatestTtMs / 86_400_000) * 86_400_000;
  return {
    id: timed.id,
    kind: LETTER[phase.kind],
    t0H: [(elements.t0TtMs - dayMs) / MS_PER_HOUR],
    greatestS: [(greatestTtMs - dayMs) / 1000],
    deltaT: [deltaTS],
    gamma: [Math.hypot(x, y) * Math.sign(y)],
    magnitude: [phase.central ? c.ratio : c.magnitude],
    place: [phase.place.latDeg, phase.place.lonDeg],
    durationS: [c.durationS],
    x: [...elements.x],
    y: [...elements.y],
    d: [...elements.dDeg],
    mu: [...elements.muDeg],
    l1: [...elements.l1],
    l2: [...elements.l2],
    tanF: [elements.tanF1, elements.tanF2],
  };
}

const LETTER = { total: "T", annular: "A", hybrid: "H", partial: "P" } as const;

/** Where the axis is nearest the Earth's centre, ms of TT; null when it stays beyond 1.7 radii. */
function roughGreatest(nearTtMs: number): number | null {
  let at = nearTtMs;
  for (let i = 0; i < 8; i++) {
    const a = shadowAt(at);
    const b = shadowAt(at + 0.1 * MS_PER_HOUR);
    const [vx, vy] = [(b.x - a.x) / 0.1, (b.y - a.y) / 0.1];
    const step = -(a.x * vx + a.y * vy) / (vx * vx + vy * vy);
    at += Math.max(-20, Math.min(20, step)) * MS_PER_HOUR;
    const miss = Math.abs(a.x * vy - a.y * vx) / Math.hypot(vx, vy);
    if (Math.abs(step) < 3 && miss > 1.7) return null;
    if (Math.abs(step) < 0.005) return at;
  }
  throw new Error(`no greatest eclipse found near ${isoDate(nearTtMs)}`);
}

function fittedElements(t0: number): BesselianElements {
  const samples = FIT_HOURS.map((t) => shadowAt(t0 + t * MS_PER_HOUR));
  const fitted = (pick: (s: Shadow) => number, decimals: readonly number[]) =>
    fitPolynomial(samples.map(pick), decimals);
  const middle = samples[(samples.length - 1) / 2] as Shadow;
  // mu runs through 360° once a day: unwound about the middle before the fit.
  const unwound = (s: Shadow) => {
    const turns = Math.round((s.muDeg - middle.muDeg - 15 * hoursOf(s, samples)) / 360);
    return s.muDeg - 360 * turns;
  };
  const mu = fitted(unwound, decimalsOf("mu"));
  mu[0] = round((((mu[0] as number) % 360) + 360) % 360, 6);
  return {
    id: "",
    kind: "partial",
    t0TtMs: ttMs(t0),
    greatestTtMs: ttMs(t0),
    deltaTS: 0,
    x: fitted((s) => s.x, decimalsOf("x")),
    y: fitted((s) => s.y, decimalsOf("y")),
    dDeg: fitted((s) => s.dDeg, decimalsOf("d")),
    muDeg: mu,
    l1: fitted((s) => s.l1, decimalsOf("l1")),
    l2: fitted((s) => s.l2, decimalsOf("l1")),
    tanF1: round(middle.tanF1, 8),
    tanF2: round(middle.tanF2, 8),
  };
}

function hoursOf(s: Shadow, samples: readonly Shadow[]): number {
  return FIT_HOURS[samples.indexOf(s)] as number;
}

interface Phase {
  kind: EclipseKind;
  /** Whether the axis itself meets the ground. */
  central: boolean;
  place: GroundPoint;
}

/** Kind of the eclipse and where it is greatest; null when no place sees any of it. */
function phaseOf(elements: BesselianElements, greatestH: number, deltaTS: number): Phase | null {
  const axisAt = (t: number) => {
    const disc = new EarthDisc(elements, t, deltaTS);
    return { disc, x: polynomial(elements.x, t), y: polynomial(elements.y, t) };
  };
  const inside = (t: number) => {
    const { disc, x, y } = axisAt(t);
    return disc.inside(x, y);
  };
  const radii = (place: GroundPoint, t: number) =>
    new ShadowAtPlace(elements, observerAt({ ...place, heightM: 0 }), deltaTS).at(t);
  const nearest = leastOf((t) => -inside(t), greatestH - 0.5, greatestH + 0.5);
  if (inside(nearest) <= 0) {
    const { disc, x, y } = axisAt(nearest);
    const edge = disc.edgeNear(x, y);
    const s = radii(edge.ground, nearest);
    const gap = Math.hypot(s.u, s.v);
    if (gap >= s.l1) return null;
    const kind = gap >= Math.abs(s.l2) ? "partial" : s.l2 < 0 ? "total" : "annular";
    return { kind, central: false, place: edge.ground };
  }
  const ends = [
    zeroBetween(inside, nearest - 4, nearest, 1e-7),
    nearest,
    zeroBetween(inside, nearest, nearest + 4, 1e-7),
  ];
  const signs = ends.map((t) => {
    const { disc, x, y } = axisAt(t);
    return radii(disc.under(x, y) ?? disc.edgeNear(x, y).ground, t).l2 < 0;
  });
  const { disc, x, y } = axisAt(greatestH);
  const kind = signs.every((total) => total) ? "total" : signs.some((total) => total) ? "hybrid" : "annular";
  return { kind, central: true, place: disc.under(x, y) ?? disc.edgeNear(x, y).ground };
}

/** The argument of the least value of a function with one valley between a and b (golden section). */
function leastOf(f: (t: number) => number, a: number, b: number): number {
  const ratio = (Math.sqrt(5) - 1) / 2;
  let [lo, hi] = [a, b];
  for (let i = 0; i < 40; i++) {
    const [left, right] = [hi - ratio * (hi - lo), lo + ratio * (hi - lo)];
    if (f(left) < f(right)) hi = right;
    else lo = left;
  }
  return (lo + hi) / 2;
}

function approach(e: BesselianElements, t: number): number {
  return polynomial(e.x, t) * polynomialRate(e.x, t) + polynomial(e.y, t) * polynomialRate(e.y, t);
}

function round(value: number, decimals: number): number {
  const rounded = Number(value.toFixed(decimals));
  return rounded === 0 ? 0 : rounded;
}
