/** Where a receiver beside any rig is, as its agent said it last: for the site screen, where the hub has none. */
import { ownValue } from "../../shared/fields/own-key.ts";
import type { SiteState } from "../../shared/run/state.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { SiteFix } from "../clock/ports.ts";

/** A place said longer ago may be that of yesterday, ms. */
const FRESH_MS = 6 * 3_600_000;

export function receiverPlace(state: SiteState, now: UtcMs): SiteFix | undefined {
  const said = Object.values(state.runs)
    .flatMap(({ rigs }) => Object.values(rigs))
    .flatMap(({ instruments }) => {
      const at = ownValue(instruments, "receiverLatDeg");
      return at && now - at.observedUtcMs < FRESH_MS ? [{ at, instruments }] : [];
    })
    .sort((a, b) => b.at.observedUtcMs - a.at.observedUtcMs)[0];
  if (!said) return undefined;
  const number = (field: string): number | null => {
    const value = ownValue(said.instruments, field)?.value;
    return typeof value === "number" ? value : null;
  };
  const [latDeg, lonDeg] = [number("receiverLatDeg"), number("receiverLonDeg")];
  if (latDeg === null || lonDeg === null) return undefined;
  return { latDeg, lonDeg, heightM: number("receiverHeightM"), errorM: number("receiverErrorM") };
}
