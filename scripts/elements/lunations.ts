/** New moons at which a solar eclipse is possible. Source: Meeus, Astronomical Algorithms, ch. 49 and 54. */

const UNIX_JD = 2_440_587.5;

/** Mean new moons between two years, ms of TT, that lie near enough to a node for an eclipse. */
export function eclipseSeasons(fromYear: number, toYear: number): number[] {
  const found: number[] = [];
  const first = Math.floor((fromYear - 2000) * 12.3685) - 2;
  const last = Math.ceil((toYear + 1 - 2000) * 12.3685) + 2;
  for (let k = first; k <= last; k++) {
    const T = k / 1236.85;
    const jde = 2_451_550.09766 + 29.530588861 * k + 0.00015437 * T * T;
    const F = 160.7108 + 390.67050284 * k - 0.0016118 * T * T;
    // Meeus: no eclipse if |sin F| > 0.36; a little more is let through and decided in full.
    if (Math.abs(Math.sin((F * Math.PI) / 180)) < 0.4) found.push((jde - UNIX_JD) * 86_400_000);
  }
  return found;
}
