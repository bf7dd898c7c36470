/** The IANA time zone of a place, offline. At sea and where the lookup fails: UTC. */
import tzLookup from "@photostructure/tz-lookup";

export function zoneAt(latDeg: number, lonDeg: number): string {
  try {
    return tzLookup(latDeg, lonDeg);
  } catch {
    return "UTC";
  }
}
