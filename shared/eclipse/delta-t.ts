/**
 * ΔT = TT − UT1: how far the Earth's turning lags behind uniform time, measured or predicted,
 * and how well it is known.
 *
 * Measured to 2026-08, predicted to 2027-09: IERS finals2000A.all, issue of 2026-09-28. Before
 * 2017: monthly values of USNO/IERS (maia.usno.navy.mil/ser7/deltat.data), every third kept.
 * Between rows: straight line (within 0.02 s). After the last row: the mean drift of 2017–2027
 * plus the long-term parabola of tidal braking, 1.78 ms per day per century (Stephenson, Morrison
 * & Hohenkerk 2016, from memory); its uncertainty is Huber's random walk (2000, from memory):
 * σ = 0.36525·N·√((N·Q/3)(1 + N/M)) s, N years, Q = 0.058 ms²/yr, M = 2500 yr.
 *
 * To update: replace or add rows of RECENT from a newer issue, move PREDICTED_FROM, and rebuild the
 * elements table (scripts/build-elements.ts), whose summaries use ΔT. The elements do not change.
 */
import { type UtcMs, utcMs } from "../time/instants.ts";
import { parseIsoUtc } from "../time/iso.ts";

export interface DeltaT {
  deltaTS: number;
  /** Half-width of a 95 % interval, seconds. */
  boundS: number;
  basis: "measured" | "predicted" | "extrapolated";
}

/** Quarter-years from 1990-01-01 to 2016-10-01, hundredths of a second. */
const QUARTERS =
  "5686 5705 5722 5736 5757 5777 5796 5810 5831 5854 5874 5890 5912 5936 5958 5976 5998 6020 6040 " +
  "6056 6079 6103 6125 6140 6163 6181 6200 6212 6230 6248 6266 6279 6297 6315 6328 6334 6347 6357 " +
  "6366 6371 6383 6391 6398 6401 6409 6416 6421 6422 6430 6437 6441 6442 6447 6453 6455 6454 6457 " +
  "6462 6465 6464 6469 6476 6480 6479 6485 6492 6499 6504 6515 6525 6534 6537 6546 6554 6563 6568 " +
  "6578 6586 6595 6598 6607 6617 6624 6624 6632 6640 6647 6651 6660 6669 6677 6681 6691 6703 6713 " +
  "6717 6728 6739 6749 6754 6764 6776 6786 6795 6810 6827 6840 6846";

/** [UTC date, ΔT in s]; the first PREDICTED_FROM rows on are predictions. */
const RECENT: readonly (readonly [string, number])[] = [
  ["2017-01-01", 68.593],
  ["2017-04-01", 68.714],
  ["2017-07-01", 68.824],
  ["2017-08-21", 68.844],
  ["2017-10-01", 68.869],
  ["2018-01-01", 68.968],
  ["2018-04-01", 69.05],
  ["2018-07-01", 69.113],
  ["2018-10-01", 69.136],
  ["2019-01-01", 69.22],
  ["2019-04-01", 69.303],
  ["2019-07-01", 69.358],
  ["2019-07-02", 69.358],
  ["2019-10-01", 69.338],
  ["2020-01-01", 69.361],
  ["2020-04-01", 69.409],
  ["2020-07-01", 69.424],
  ["2020-10-01", 69.357],
  ["2020-12-14", 69.364],
  ["2021-01-01", 69.359],
  ["2021-04-01", 69.358],
  ["2021-06-10", 69.366],
  ["2021-07-01", 69.351],
  ["2021-10-01", 69.289],
  ["2021-12-04", 69.292],
  ["2022-01-01", 69.294],
  ["2022-04-01", 69.284],
  ["2022-07-01", 69.255],
  ["2022-10-01", 69.172],
  ["2023-01-01", 69.204],
  ["2023-04-20", 69.217],
  ["2023-10-14", 69.17],
  ["2024-01-01", 69.175],
  ["2024-04-08", 69.2],
  ["2024-10-02", 69.125],
  ["2025-01-01", 69.138],
  ["2025-03-29", 69.145],
  ["2026-01-01", 69.11],
  ["2026-02-17", 69.114],
  ["2026-08-12", 69.172],
  ["2026-09-28", 69.204],
  ["2027-01-01", 69.303],
  ["2027-02-06", 69.32],
  ["2027-08-02", 69.346],
  ["2027-09-20", 69.318],
];
const PREDICTED_FROM = "2026-09-28";

const MS_PER_YEAR = 365.25 * 86_400_000;
const DRIFT_S_PER_YEAR = 0.07;
/** Half of 1.78 ms/day/century, in s per year². */
const BRAKING_S_PER_YEAR2 = (0.5 * 1.78e-3 * 365.25) / 100;
const MEASURED_BOUND_S = 0.02;
/** 2σ of the prediction for 2027-08-02 as the issue states it. */
const PREDICTED_BOUND_S = 0.05;

const rows: readonly (readonly [number, number])[] = [
  ...QUARTERS.split(" ").map((hundredths, i) => {
    const month = String(1 + 3 * (i % 4)).padStart(2, "0");
    return [instantOf(`${1990 + Math.floor(i / 4)}-${month}-01`), Number(hundredths) / 100] as const;
  }),
  ...RECENT.map(([date, s]) => [instantOf(date), s] as const),
];
const first = rows[0] as readonly [number, number];
const last = rows[rows.length - 1] as readonly [number, number];
const predictedFrom = instantOf(PREDICTED_FROM);

/** ΔT at a UTC instant (1990 on; earlier instants get the first row with a wide bound). */
export function deltaTAt(at: UtcMs): DeltaT {
  if (at < first[0]) {
    const years = (first[0] - at) / MS_PER_YEAR;
    return { deltaTS: first[1], boundS: MEASURED_BOUND_S + years, basis: "extrapolated" };
  }
  if (at >= last[0]) {
    const years = (at - last[0]) / MS_PER_YEAR;
    return {
      deltaTS: last[1] + DRIFT_S_PER_YEAR * years + BRAKING_S_PER_YEAR2 * years * years,
      boundS: PREDICTED_BOUND_S + 2 * huberSigmaS(years),
      basis: "extrapolated",
    };
  }
  const i = rows.findIndex(([from]) => from > at);
  const [fromMs, from] = rows[i - 1] as readonly [number, number];
  const [toMs, to] = rows[i] as readonly [number, number];
  const deltaTS = from + ((to - from) * (at - fromMs)) / (toMs - fromMs);
  return at >= predictedFrom
    ? { deltaTS, boundS: PREDICTED_BOUND_S, basis: "predicted" }
    : { deltaTS, boundS: MEASURED_BOUND_S, basis: "measured" };
}

function huberSigmaS(years: number): number {
  return 0.36525 * years * Math.sqrt(((years * 0.058) / 3) * (1 + years / 2500));
}

function instantOf(date: string): number {
  return parseIsoUtc(date) ?? utcMs(0);
}
