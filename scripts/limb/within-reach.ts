/**
 * Which terrain can stand on the limb in an eclipse: all that comes within the profile's search of
 * the limb for some libration. In solar eclipses of 1990–2100 the libration with parallax stays
 * within 6.1° in longitude and 3.1° in latitude (held by tests/shared/eclipse/limb-belt.test.ts).
 */
const RAD = Math.PI / 180;
const LIBRATION_LON_DEG = 6.8;
const LIBRATION_LAT_DEG = 3.3;
/** The profile's search either side of the limb, and a pixel more. */
const SEARCH_DEG = 6.6;
const STEPS = 8;

const observers = Array.from({ length: (STEPS + 1) ** 2 }, (_, i) => {
  const lon = LIBRATION_LON_DEG * ((2 * (i % (STEPS + 1))) / STEPS - 1) * RAD;
  const lat = LIBRATION_LAT_DEG * ((2 * Math.floor(i / (STEPS + 1))) / STEPS - 1) * RAD;
  return [Math.cos(lat) * Math.cos(lon), Math.cos(lat) * Math.sin(lon), Math.sin(lat)] as const;
});
const REACH = Math.sin(SEARCH_DEG * RAD);

/** Whether the terrain at a selenographic latitude and east longitude can matter. */
export function withinReach(latDeg: number, lonDeg: number): boolean {
  const [lat, lon] = [latDeg * RAD, lonDeg * RAD];
  const [x, y, z] = [Math.cos(lat) * Math.cos(lon), Math.cos(lat) * Math.sin(lon), Math.sin(lat)];
  let [least, most] = [1, -1];
  for (const [ox, oy, oz] of observers) {
    const depth = x * ox + y * oy + z * oz;
    least = Math.min(least, depth);
    most = Math.max(most, depth);
  }
  return least <= REACH && most >= -REACH;
}
