/** The phone's own place, kept over a reload; and the elements fetched while the hub is near. */
import { useEffect, useRef, useState } from "react";
import type { SiteState } from "../../../shared/run/state.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import type { BrowserStore } from "../../link/browser-store.ts";
import { type OtherPages, otherPages } from "../../link/other-pages.ts";
import { OWN_PLACE_KEY, type OwnPlace, ownPlaceHolds } from "./own-place.ts";

/** The page's first seconds belong to the clock and the cues, ms. */
const LATER_MS = 8000;

/** `place`: the newest one, also after it has ended. */
export function useOwnPlace(
  store: BrowserStore,
  state: SiteState | null,
  now: UtcMs,
): { place: OwnPlace | null; holds: boolean; takePlace: (own: OwnPlace | null) => void } {
  const [place, setPlace] = useState<OwnPlace | null>(null);
  const others = useRef<OtherPages<string>>(null);
  useEffect(() => {
    const read = (): void => {
      store
        .get<OwnPlace | null>(OWN_PLACE_KEY)
        // One that an earlier program kept does not say what it departs from.
        .then((kept) => kept?.lead && setPlace(kept))
        .catch(() => undefined);
    };
    read();
    others.current = otherPages("place", read);
    return () => others.current?.close();
  }, [store]);
  const eclipse = state?.plan.eclipse ?? null;
  useEffect(() => {
    if (!eclipse) return;
    const timer = setTimeout(() => {
      import("./place-part.tsx")
        .then(({ keepElements }) => keepElements(eclipse, store))
        .catch(() => undefined);
    }, LATER_MS);
    return () => clearTimeout(timer);
  }, [eclipse, store]);
  const keep = (next: OwnPlace): void => {
    setPlace(next);
    store
      .set(OWN_PLACE_KEY, next)
      .then(() => others.current?.tell(""))
      .catch(() => undefined);
  };
  const holds = place !== null && state !== null && ownPlaceHolds(place, state);
  const end = (): void => {
    if (place && place.endedUtcMs === null) keep({ ...place, endedUtcMs: now });
  };
  const over = state !== null && !holds;
  useEffect(() => {
    if (over) end();
  });
  return { place, holds, takePlace: (next) => (next ? keep(next) : end()) };
}
