/**
 * What a GPS daemon's JSON says of time and place. Pure. Open protocol, one JSON object a line:
 *
 *   TPV   a fix: mode (2 or 3 when there is one), time (ISO 8601 UTC), ept (s), lat, lon, altHAE,
 *         eph (m). It arrives somewhere between the second it speaks of and one second later.
 *   TOFF  real_sec/real_nsec (GPS time of a second) against clock_sec/clock_nsec (system clock when
 *         the message for it began to arrive): late by the receiver's latency.
 *   PPS   the same for the pulse per second, with `precision` as a power of two of seconds.
 * Field names from the daemon's published protocol (gpsd_json(5)); from memory.
 */
import type { SiteFix } from "../ports.ts";

type GpsMessage =
  | { kind: "version"; release: string }
  | { kind: "fix"; utcMs: number; errorMs: number; site: SiteFix | null }
  | { kind: "noFix" }
  | { kind: "pulse"; offsetMs: number; boundMs: number }
  | { kind: "lateness"; offsetMs: number }
  | { kind: "other" };

/** Reads one line; null when it is not JSON of the daemon. Offsets are UTC − system clock, ms. */
export function readGpsLine(line: string): GpsMessage | null {
  let m: Record<string, unknown>;
  try {
    m = JSON.parse(line);
  } catch {
    return null;
  }
  if (typeof m !== "object" || m === null || typeof m.class !== "string") return null;
  if (m.class === "VERSION") return { kind: "version", release: String(m.release ?? "") };
  if (m.class === "TPV") return readFix(m);
  if (m.class === "PPS" || m.class === "TOFF") {
    const offsetMs = difference(m);
    if (offsetMs === null) return { kind: "other" };
    if (m.class === "TOFF") return { kind: "lateness", offsetMs };
    const precision = number(m.precision) ?? -10;
    return { kind: "pulse", offsetMs, boundMs: 1000 * 2 ** Math.min(0, precision) };
  }
  return { kind: "other" };
}

function readFix(m: Record<string, unknown>): GpsMessage {
  const mode = number(m.mode) ?? 0;
  const at = typeof m.time === "string" ? Date.parse(m.time) : Number.NaN;
  if (mode < 2 || !Number.isFinite(at)) return { kind: "noFix" };
  const latDeg = number(m.lat);
  const lonDeg = number(m.lon);
  const place = latDeg !== null && lonDeg !== null && Math.abs(latDeg) <= 90 && Math.abs(lonDeg) <= 180;
  const errorM = number(m.eph) ?? larger(number(m.epx), number(m.epy));
  const site = place ? { latDeg, lonDeg, heightM: mode >= 3 ? number(m.altHAE) : null, errorM } : null;
  return { kind: "fix", utcMs: at, errorMs: 1000 * Math.max(0, number(m.ept) ?? 0), site };
}

/** real − clock in ms; seconds are subtracted before anything else, to keep the nanoseconds. */
function difference(m: Record<string, unknown>): number | null {
  const [rs, rn, cs, cn] = [m.real_sec, m.real_nsec, m.clock_sec, m.clock_nsec].map(number);
  if (rs == null || rn == null || cs == null || cn == null) return null;
  return (rs - cs) * 1000 + (rn - cn) / 1e6;
}

const number = (v: unknown): number | null => (typeof v === "number" && Number.isFinite(v) ? v : null);
const larger = (a: number | null, b: number | null) => (a === null || b === null ? null : Math.max(a, b));
