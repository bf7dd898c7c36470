/** Where this phone is, for the page: all of it comes after the first draw, as a part of its own. */
import { useEffect, useState } from "react";
import type { BrowserStore } from "../../link/browser-store.ts";
import type { PageSession } from "../../link/open-session.ts";
import { untilThere } from "../device/late.tsx";
import type { PositionWatch } from "./position-watch.ts";

/** Null until it has come. Read on every draw: it tells nobody when it changes. */
export function usePosition(store: BrowserStore, session: PageSession): PositionWatch | null {
  const [watch, setWatch] = useState<PositionWatch | null>(null);
  useEffect(() => {
    let gone = false;
    let made: PositionWatch | null = null;
    const wanted = (): boolean => !gone;
    void untilThere(() => import("./position-watch.ts"), wanted).then((found) => {
      if (gone || !found) return;
      made = new found.PositionWatch(found.browserPositionPorts(store, session.now));
      setWatch(made);
    });
    return () => {
      gone = true;
      made?.close();
    };
  }, [store, session]);
  return watch;
}
