/**
 * Polynomials through Bessel's quantities, least squares at Chebyshev nodes over the hours in
 * which any penumbra can touch the Earth, rounded to what the table prints.
 */

/** Half-width of the fit: 2.95 h of longest penumbra each way plus half an hour from rounding t0. */
export const FIT_HALF_WIDTH_H = 3.5;
const NODES = 13;

/** Hours from t0 at which to evaluate. */
export const FIT_HOURS: readonly number[] = Array.from(
  { length: NODES },
  (_, i) => -FIT_HALF_WIDTH_H * Math.cos((Math.PI * (i + 0.5)) / NODES),
);

/**
 * Coefficients in rising powers for values at FIT_HOURS, one per entry of `decimals`, rounded to
 * that many decimals. At Chebyshev nodes the Chebyshev sums are the least-squares solution.
 */
export function fitPolynomial(values: readonly number[], decimals: readonly number[]): number[] {
  const degree = decimals.length - 1;
  const power = new Array<number>(degree + 1).fill(0);
  // Chebyshev polynomials T0, T1, … as powers of t/halfWidth.
  let [before, now] = [[0], [1]];
  for (let k = 0; k <= degree; k++) {
    const c =
      ((k === 0 ? 1 : 2) / NODES) *
      values.reduce((sum, v, i) => sum + v * Math.cos(k * Math.PI * (1 - (i + 0.5) / NODES)), 0);
    now.forEach((p, i) => {
      power[i] = (power[i] as number) + c * p;
    });
    const next = [0, ...now.map((p) => (k === 0 ? 1 : 2) * p)];
    before.forEach((p, i) => {
      if (k > 0) next[i] = (next[i] as number) - p;
    });
    [before, now] = [now, next];
  }
  return power.map((p, i) => {
    const rounded = Number((p / FIT_HALF_WIDTH_H ** i).toFixed(decimals[i] as number));
    return rounded === 0 ? 0 : rounded;
  });
}
