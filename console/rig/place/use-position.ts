/** Where this phone is, for the page: all of it comes after the first draw, as a part of its own. */
import type { BrowserStore } from "../../link/browser-store.ts";
import type { PageSession } from "../../link/open-session.ts";
import { useMadeLater } from "../device/made-later.ts";
import type { PositionWatch } from "./position-watch.ts";

/** Null until it has come. Read on every draw: it tells nobody when it changes. */
export function usePosition(store: BrowserStore, session: PageSession): PositionWatch | null {
  return useMadeLater(
    () => import("./position-watch.ts"),
    ({ PositionWatch, browserPositionPorts }) => new PositionWatch(browserPositionPorts(store, session.now)),
    session,
  );
}
