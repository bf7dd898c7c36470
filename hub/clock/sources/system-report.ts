/**
 * What an operating system says of its own clock, read from the output of its tools. Pure.
 *
 * chrony (`chronyc -n -c tracking`, fields separated by commas): the error is at most
 *   |system time − estimate| + root dispersion + root delay / 2     (chrony's manual; RFC 5905 11.2.1).
 * `timedatectl show -p NTPSynchronized`: yes means that the kernel was corrected within hours.
 * Windows `w32tm /query /status` (English only): root delay and root dispersion, as above.
 * A system that says it is not synchronised has its time from a battery clock that somebody set at
 * some time: nobody knows how far it is off, so it has no bound.
 */
export type SystemSays =
  | { state: "good"; boundMs: number; detail: string }
  | { state: "unsynchronised"; boundMs: null; detail: string };

/** A system that says "synchronised" without figures, ms (common practice, no source). */
export const SYNCHRONISED_BOUND_MS = 250;

export function readChronyTracking(text: string): SystemSays | null {
  const f = text.trim().split("\n")[0]?.split(",") ?? [];
  // reference, name, stratum, reference time, system time offset, last offset, rms offset, frequency,
  // residual frequency, skew, root delay, root dispersion, update interval, leap status
  if (f.length < 14 || [2, 4, 10, 11].some((i) => f[i]?.trim() === "")) return null;
  const stratum = Number(f[2]);
  const [offset, delay, dispersion] = [f[4], f[10], f[11]].map(Number);
  if (offset === undefined || delay === undefined || dispersion === undefined) return null;
  if (![stratum, offset, delay, dispersion].every(Number.isFinite)) return null;
  if (stratum === 0 || /not sync/i.test(f[13] ?? ""))
    return { state: "unsynchronised", boundMs: null, detail: "chrony: not synchronised" };
  const boundMs = 1000 * (Math.abs(offset) + dispersion + delay / 2) + 1;
  return { state: "good", boundMs, detail: `chrony: stratum ${stratum}, ±${boundMs.toFixed(1)} ms` };
}

export function readTimedatectl(text: string): SystemSays | null {
  const m = /NTPSynchronized=(yes|no)/.exec(text);
  if (!m) return null;
  return m[1] === "yes"
    ? { state: "good", boundMs: SYNCHRONISED_BOUND_MS, detail: "system: synchronised" }
    : { state: "unsynchronised", boundMs: null, detail: "system: not synchronised" };
}

export function readW32tm(text: string): SystemSays | null {
  const seconds = (label: string) => {
    const m = new RegExp(`${label}:\\s*(-?[\\d.]+)s`, "i").exec(text);
    return m ? Number(m[1]) : null;
  };
  const delay = seconds("Root Delay");
  const dispersion = seconds("Root Dispersion");
  if (delay === null || dispersion === null) return null;
  if (/Leap Indicator:\s*3/i.test(text))
    return { state: "unsynchronised", boundMs: null, detail: "system: not synchronised" };
  // Windows steers its clock coarsely: not better than 50 ms (common practice, no source)
  const boundMs = Math.max(50, 1000 * (dispersion + delay / 2));
  return { state: "good", boundMs, detail: `system: ±${boundMs.toFixed(0)} ms` };
}
