/**
 * Coordinates as text, in forms that parse-coordinates.ts reads back. Letters are N S E W in
 * every language, as on charts; decimals have a point.
 */
export interface CoordinateTexts {
  lat: string;
  lon: string;
}

/**
 * @param latDeg −90…90, north positive. @param lonDeg −180…180, east positive.
 * @param style "decimal": five decimals, about 1 m; "dms": to 0.1″, about 3 m.
 * Throws RangeError outside these ranges.
 */
export function formatCoordinates(
  latDeg: number,
  lonDeg: number,
  style: "decimal" | "dms" = "decimal",
): CoordinateTexts {
  if (!(Math.abs(latDeg) <= 90)) throw new RangeError(`latDeg must be −90…90: ${latDeg}`);
  if (!(Math.abs(lonDeg) <= 180)) throw new RangeError(`lonDeg must be −180…180: ${lonDeg}`);
  const write = style === "dms" ? dms : decimal;
  return { lat: write(latDeg, "N", "S"), lon: write(lonDeg, "E", "W") };
}

function decimal(deg: number, plus: string, minus: string): string {
  return `${Math.abs(deg).toFixed(5)}° ${deg < 0 ? minus : plus}`;
}

function dms(deg: number, plus: string, minus: string): string {
  const tenths = Math.round(Math.abs(deg) * 36_000);
  const whole = Math.floor(tenths / 36_000);
  const minutes = Math.floor((tenths % 36_000) / 600);
  const seconds = ((tenths % 600) / 10).toFixed(1);
  return `${whole}° ${String(minutes).padStart(2, "0")}′ ${seconds.padStart(4, "0")}″ ${deg < 0 ? minus : plus}`;
}
