/**
 * How long a battery lasts. A battery gives less when it is cold or old: four fifths of what is
 * printed on it are counted on (common practice, no source).
 */

export const USABLE_SHARE = 0.8;

/** Watt-hours of a battery that is marked in milliampere-hours at a voltage. */
export function wattHours(mAh: number, volts: number): number {
  return (mAh / 1000) * volts;
}

/** How long it lasts at a steady draw, hours; Infinity when nothing is drawn. */
export function lastsH(capacityWh: number, drawW: number, usableShare = USABLE_SHARE): number {
  return drawW > 0 ? (capacityWh * usableShare) / drawW : Number.POSITIVE_INFINITY;
}

/** When it is empty, on the scale of `fromMs`; null when it is never. */
export function emptyAtMs(
  capacityWh: number,
  drawW: number,
  fromMs: number,
  usableShare = USABLE_SHARE,
): number | null {
  const hours = lastsH(capacityWh, drawW, usableShare);
  return Number.isFinite(hours) ? fromMs + hours * 3_600_000 : null;
}
