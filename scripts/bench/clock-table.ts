/** Scores and prints what the devices of a clock bench wrote. */
import type { DeviceRecord, LookRow, RigRecord } from "./clock-run.ts";

export type Method = "ours" | "timesync" | "chrony";
export interface BenchRow {
  profile: string;
  method: Method;
  devices: number;
  p95At30sMs: number;
  p95AtEndMs: number;
  worstHoldOverMs: number | null;
  /** For ours: how often the bound held, all looks of sync and hold-over. */
  bound?: BoundScore;
  /** Time from the link's return to the first exchange, ms. */
  reconnect?: { medianMs: number; worstMs: number };
}
export interface BoundScore {
  heldShare: number;
  looks: number;
  medianMs: number;
  halfLeastDelayMs: number;
  /** From 30 s after joining to the end of sync. */
  p95ErrorMs: number;
  /** Share of these looks with bound ≤ half the least delay + 4 × p95ErrorMs. */
  narrowShare: number;
}

/** The numbers to reach: p95 at 30 s, p95 after 5 minutes, worst after 5 minutes of hold-over, ms. */
const REACH: Record<string, [number, number, number]> = {
  clean: [0.3, 0.2, 0.7],
  good: [0.8, 0.4, 1.8],
  busy: [1.5, 1.0, 4],
  awful: [6, 6, 12],
  outage: [0.8, 0.4, 1.8],
};

const quantile = (values: number[], q: number): number => {
  const v = [...values].sort((a, b) => a - b);
  return v[Math.min(v.length - 1, Math.ceil(q * v.length) - 1)] ?? Number.NaN;
};
const looks = (d: DeviceRecord) => d.rows.filter((r): r is LookRow => r.k === "look");
/** |error|; a clock that was never set counts as infinitely wrong. */
const size = (v: number | null) => (v === null ? Number.POSITIVE_INFINITY : Math.abs(v));

export function scoreBench(record: RigRecord, holdS: number): BenchRow[] {
  const { devices, cutAt } = record;
  const profiles = [...new Set(devices.map((d) => d.profile))];
  return profiles.flatMap((profile) => {
    const mine = devices.filter((d) => d.profile === profile);
    const within = (from: (d: DeviceRecord) => number, to: (d: DeviceRecord) => number, method: Method) =>
      mine.flatMap((d) =>
        looks(d)
          .filter((r) => r.t >= from(d) && r.t <= to(d))
          .map((r) => size(r[method])),
      );
    const end = (d: DeviceRecord) => cutAt - d.joined;
    return (["ours", "timesync", "chrony"] as const).map((method) => {
      const row: BenchRow = {
        profile,
        method,
        devices: mine.length,
        p95At30sMs: quantile(
          within(
            () => 29_000,
            () => 31_000,
            method,
          ),
          0.95,
        ),
        p95AtEndMs: quantile(
          within((d) => end(d) - 4000, end, method),
          0.95,
        ),
        worstHoldOverMs:
          holdS > 0
            ? Math.max(
                ...within(
                  (d) => end(d) + holdS * 1000 - 1500,
                  () => Infinity,
                  method,
                ),
              )
            : null,
      };
      if (method !== "ours") return row;
      const waits = reconnects(mine, record.returns);
      return {
        ...row,
        bound: scoreBound(mine, end),
        ...(waits.length > 0
          ? { reconnect: { medianMs: quantile(waits, 0.5), worstMs: Math.max(...waits) } }
          : {}),
      };
    });
  });
}

function scoreBound(devices: DeviceRecord[], end: (d: DeviceRecord) => number): BoundScore {
  const all = devices.flatMap((d) => looks(d).filter((r) => r.ours !== null));
  const settled = devices.flatMap((d) =>
    looks(d).filter((r) => r.ours !== null && r.t > 30_000 && r.t < end(d)),
  );
  const p95ErrorMs = quantile(
    settled.map((r) => size(r.ours)),
    0.95,
  );
  const narrow = settled.filter((r) => (r.bound ?? Infinity) <= (r.least ?? 0) / 2 + 4 * p95ErrorMs).length;
  return {
    heldShare: all.filter((r) => size(r.ours) <= (r.bound ?? 0)).length / all.length,
    looks: all.length,
    medianMs: quantile(
      settled.map((r) => r.bound ?? Infinity),
      0.5,
    ),
    halfLeastDelayMs: quantile(
      settled.map((r) => (r.least ?? 0) / 2),
      0.5,
    ),
    p95ErrorMs,
    narrowShare: narrow / settled.length,
  };
}

function reconnects(devices: DeviceRecord[], returns: RigRecord["returns"]): number[] {
  return returns.flatMap(({ device, at }) => {
    const d = devices.find((x) => x.i === device);
    if (!d) return [];
    const heard = d.rows.find((r) => r.k === "heard" && r.at > at);
    return [heard?.k === "heard" ? heard.at - at : Number.POSITIVE_INFINITY];
  });
}

const f = (v: number | null | undefined) =>
  v === null || v === undefined || Number.isNaN(v) ? "-" : Number.isFinite(v) ? v.toFixed(2) : "none";

/** The table as text, and whether every number was reached. */
export function printTable(
  rows: BenchRow[],
  syncS: number,
  holdS: number,
): { text: string; reached: boolean } {
  const lines = [
    `Absolute error in ms: p95 at 30 s / p95 at ${syncS} s / worst after ${holdS} s without network.`,
    [
      "profile".padEnd(8),
      "to reach".padEnd(16),
      "".padEnd(4),
      "ours".padEnd(22),
      "timesync".padEnd(24),
      "chronyd".padEnd(22),
      "bound held".padEnd(11),
      "bound (half delay)".padEnd(19),
      "narrow".padEnd(8),
      "first exchange after an outage",
    ].join(" "),
  ];
  let reached = true;
  for (const profile of new Set(rows.map((r) => r.profile))) {
    const of = (method: Method) => rows.find((r) => r.profile === profile && r.method === method);
    const cell = (r: BenchRow | undefined) =>
      [r?.p95At30sMs, r?.p95AtEndMs, r?.worstHoldOverMs].map(f).join(" / ");
    const ours = of("ours");
    const bound = ours?.bound;
    if (!ours || !bound) continue;
    const want = REACH[profile];
    const errors = [ours.p95At30sMs, ours.p95AtEndMs, ours.worstHoldOverMs ?? 0];
    const ok =
      (want?.every((w, i) => (errors[i] ?? Infinity) <= w) ?? true) &&
      bound.heldShare >= 0.999 &&
      bound.narrowShare >= 0.999 &&
      (ours.reconnect?.worstMs ?? 0) <= 1500;
    reached &&= ok;
    lines.push(
      [
        profile.padEnd(8),
        (want?.join(" / ") ?? "").padEnd(16),
        (ok ? "yes" : "NO").padEnd(4),
        cell(ours).padEnd(22),
        cell(of("timesync")).padEnd(24),
        cell(of("chrony")).padEnd(22),
        `${(100 * bound.heldShare).toFixed(2)} %`.padEnd(11),
        `${f(bound.medianMs)} (${f(bound.halfLeastDelayMs)})`.padEnd(19),
        `${(100 * bound.narrowShare).toFixed(1)} %`.padEnd(8),
        ours.reconnect
          ? `median ${Math.round(ours.reconnect.medianMs)} ms, worst ${Math.round(ours.reconnect.worstMs)} ms`
          : "-",
      ].join(" "),
    );
  }
  return { text: lines.join("\n"), reached };
}
