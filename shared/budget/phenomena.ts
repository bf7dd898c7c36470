/**
 * What can be photographed in an eclipse, and how bright it is: the brightness exponent Q of
 * t = f²/(ISO·2^Q), t in seconds.
 *
 * Source: Espenak & Anderson, NASA Reference Publication 1369, Table 16 ("Eclipse Predictions by
 * Fred Espenak, NASA's GSFC"). Later bulletins are remembered with Q = 11 for beads and 10 for the
 * chromosphere (from memory), so a plan may set its own. Measured coronae differ from these and
 * from each other by two to four stops outside 1.5 radii: a bracket should run on (bracket.ts).
 */

export const PHENOMENA = [
  "partial",
  "beads",
  "chromosphere",
  "prominences",
  "corona-0.1",
  "corona-0.2",
  "corona-0.5",
  "corona-1",
  "corona-2",
  "corona-4",
  "corona-8",
] as const;
export type Phenomenon = (typeof PHENOMENA)[number];

/** Of what is seen without a filter. Radii are from the Moon's edge, in radii of the Sun. */
const BARE_Q: Readonly<Record<Exclude<Phenomenon, "partial">, number>> = {
  beads: 12,
  chromosphere: 11,
  prominences: 9,
  "corona-0.1": 7,
  "corona-0.2": 5,
  "corona-0.5": 3,
  "corona-1": 1,
  "corona-2": 0,
  "corona-4": -1,
  "corona-8": -3,
};

/** The table's two filters: Q 11 behind density 4, Q 8 behind density 5. */
const Q_AT_DENSITY_5 = 8;
const TABLE_SLOPE = 3;
/** Stops of one unit of optical density: log2(10). */
export const STOPS_PER_DENSITY = Math.log2(10);

/**
 * Q of the partial phase behind a filter of so much optical density. Between the table's 4 and 5 it
 * is the table's straight line, beyond them the definition of density.
 */
export function partialQ(density: number): number {
  if (density >= 5) return Q_AT_DENSITY_5 - (density - 5) * STOPS_PER_DENSITY;
  if (density >= 4) return Q_AT_DENSITY_5 + (5 - density) * TABLE_SLOPE;
  return Q_AT_DENSITY_5 + TABLE_SLOPE + (4 - density) * STOPS_PER_DENSITY;
}

/** Q of a phenomenon; `own` are a plan's own values. The filter matters for the partial phase alone. */
export function brightnessQ(
  phenomenon: Phenomenon,
  density: number,
  own: Partial<Readonly<Record<Phenomenon, number>>> = {},
): number {
  return own[phenomenon] ?? (phenomenon === "partial" ? partialQ(density) : BARE_Q[phenomenon]);
}
