/** The phone's own place, kept over a reload; and the elements fetched while the hub is near. */
import { useEffect, useState } from "react";
import type { SiteState } from "../../../shared/run/state.ts";
import type { BrowserStore } from "../../link/browser-store.ts";
import { OWN_PLACE_KEY, type OwnPlace, ownPlaceHolds } from "./own-place.ts";

/** The page's first seconds belong to the clock and the cues, ms. */
const LATER_MS = 8000;

export function useOwnPlace(
  store: BrowserStore,
  state: SiteState | null,
): { own: OwnPlace | null; takePlace: (own: OwnPlace | null) => void } {
  const [own, setOwn] = useState<OwnPlace | null>(null);
  useEffect(() => {
    store
      .get<OwnPlace | null>(OWN_PLACE_KEY)
      .then((kept) => kept && setOwn(kept))
      .catch(() => undefined);
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
  const takePlace = (next: OwnPlace | null): void => {
    setOwn(next);
    void store.set(OWN_PLACE_KEY, next).catch(() => undefined);
  };
  return { own: ownPlaceHolds(own, state) ? own : null, takePlace };
}
