/**
 * Client packets of network time: RFC 5905 section 7.3 (header), section 8 (offset, delay), section
 * 11.2.1 (root distance), section 7.4 (kiss codes); RFC 4330 section 5 (checks of a simple client).
 * Pure. The client sends a random transmit timestamp, so that its own time is not given away and a
 * forged answer cannot fit by chance; the answer must carry it back as origin.
 */

import { type MonoMs, monoMs } from "../../../shared/time/instants.ts";
import type { OffsetEstimate } from "../ports.ts";

export const NTP_PORT = 123;
/** Seconds from 1900-01-01 (NTP era 0) to 1970-01-01. RFC 5905 figure 4. */
const NTP_TO_UNIX_S = 2_208_988_800;
/** An answer whose root distance is more than this is not used, ms. MAXDIST 1 s of RFC 5905, and half. */
const MAX_DISTANCE_MS = 1500;

type NtpRefusal =
  | "notAnswer"
  | "otherOrigin"
  | "unsynchronised"
  | "kissRate"
  | "kissDeny"
  | "kissOther"
  | "badTimes"
  | "tooFar";

interface NtpAnswer {
  stratum: number;
  /** t2 and t3, UTC ms. */
  receivedMs: number;
  sentMs: number;
  rootDelayMs: number;
  rootDispersionMs: number;
  precisionMs: number;
}

/** A request of version 4, mode 3; `cookie` is 8 random bytes. */
export function ntpRequest(cookie: Uint8Array): Uint8Array {
  const m = new Uint8Array(48);
  m[0] = 0x23;
  m.set(cookie.subarray(0, 8), 40);
  return m;
}

/** Reads an answer; `nearMs` (any UTC within 68 years) settles the era of its 32-bit seconds. */
export function readNtpAnswer(m: Uint8Array, cookie: Uint8Array, nearMs: number): NtpAnswer | NtpRefusal {
  if (m.length < 48) return "notAnswer";
  const v = new DataView(m.buffer, m.byteOffset, m.byteLength);
  const leap = v.getUint8(0) >> 6;
  const mode = v.getUint8(0) & 7;
  const version = (v.getUint8(0) >> 3) & 7;
  if (mode !== 4 || version < 3 || version > 4) return "notAnswer";
  for (let i = 0; i < 8; i++) if (v.getUint8(24 + i) !== cookie[i]) return "otherOrigin";
  const stratum = v.getUint8(1);
  if (stratum === 0) {
    const code = String.fromCharCode(v.getUint8(12), v.getUint8(13), v.getUint8(14), v.getUint8(15));
    return code === "RATE" ? "kissRate" : code === "DENY" || code === "RSTR" ? "kissDeny" : "kissOther";
  }
  if (leap === 3 || stratum > 15) return "unsynchronised";
  const receivedMs = stampMs(v, 32, nearMs);
  const sentMs = stampMs(v, 40, nearMs);
  if (receivedMs === null || sentMs === null || sentMs < receivedMs) return "badTimes";
  const rootDelayMs = (v.getInt32(4) / 65_536) * 1000;
  const rootDispersionMs = (v.getUint32(8) / 65_536) * 1000;
  if (rootDelayMs < 0 || rootDelayMs / 2 + rootDispersionMs > MAX_DISTANCE_MS) return "tooFar";
  return {
    stratum,
    receivedMs,
    sentMs,
    rootDelayMs,
    rootDispersionMs,
    precisionMs: 1000 * 2 ** v.getInt8(3),
  };
}

/** Offset of UTC to the monotonic clock from one exchange; the bound is its root distance. */
export function ntpEstimate(a: NtpAnswer, t1: MonoMs, t4: MonoMs): OffsetEstimate & { delayMs: number } {
  const offsetMs = (a.receivedMs - t1 + (a.sentMs - t4)) / 2;
  const delayMs = Math.max(0, t4 - t1 - (a.sentMs - a.receivedMs));
  const boundMs = delayMs / 2 + a.rootDelayMs / 2 + a.rootDispersionMs + a.precisionMs + 0.05;
  return { offsetMs, boundMs, atMono: monoMs((t1 + t4) / 2), delayMs };
}

/** A 64-bit timestamp as UTC ms in the era nearest to `nearMs`; null when it is nought (unknown). */
function stampMs(v: DataView, at: number, nearMs: number): number | null {
  const seconds = v.getUint32(at);
  const fraction = v.getUint32(at + 4);
  if (seconds === 0 && fraction === 0) return null;
  const era0 = seconds - NTP_TO_UNIX_S;
  const era = Math.round((nearMs / 1000 - era0) / 2 ** 32);
  return (era0 + era * 2 ** 32) * 1000 + (fraction / 2 ** 32) * 1000;
}
