/**
 * What of a run its chart draws: the minutes around totality, where filters come off and go on; of a run
 * that had none of them, or of a place without totality, the run itself from first to last contact.
 */
import type { Review } from "../../../../shared/review/review.ts";

export interface ChartSpan {
  fromMs: number;
  toMs: number;
  /** C2 to C3 (totality or ring) where it lies in it. */
  inner: { fromMs: number; toMs: number } | null;
  marks: { name: "C1" | "C2" | "max" | "C3" | "C4"; atMs: number }[];
}

/** Drawn before C2 and after C3, ms. */
const MARGIN_MS = 90_000;
/** Beyond the first and the last contact, ms. */
const OUTER_MS = 5 * 60_000;

/** Null where the place has no eclipse. */
export function chartSpan({ contacts, fromRunMs, untilRunMs, kind }: Review): ChartSpan | null {
  const { c1, c2, max, c3, c4 } = contacts;
  const [first, last] = [c1 ?? c2 ?? max, c4 ?? c3 ?? max];
  if (first === null || last === null) return null;
  const marks = (
    [
      ["C1", c1],
      ["C2", c2],
      ["max", c2 === null ? max : null],
      ["C3", c3],
      ["C4", c4],
    ] as const
  ).flatMap(([name, atMs]) => (atMs === null ? [] : [{ name, atMs }]));
  const span = (fromMs: number, toMs: number, inner: ChartSpan["inner"]): ChartSpan => ({
    ...{ fromMs, toMs, inner },
    marks: marks.filter(({ atMs }) => atMs >= fromMs && atMs <= toMs),
  });
  if (c2 !== null && c3 !== null && fromRunMs < c3 + MARGIN_MS && untilRunMs > c2 - MARGIN_MS)
    return span(c2 - MARGIN_MS, c3 + MARGIN_MS, { fromMs: c2, toMs: c3 });
  const whole = { fromMs: first - OUTER_MS, toMs: last + OUTER_MS };
  if (kind === "real") return span(whole.fromMs, whole.toMs, null);
  const fromMs = Math.max(whole.fromMs, fromRunMs);
  return span(fromMs, Math.max(fromMs + MARGIN_MS, Math.min(whole.toMs, untilRunMs)), null);
}
