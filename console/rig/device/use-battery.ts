/**
 * The battery as the browser knows it: that of the phone. Reported by itself until somebody
 * types a figure (most camera batteries know no browser); then the typed ones stand alone.
 */
import { useEffect, useRef } from "react";
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import { usePrefs } from "./prefs.ts";

interface BatteryManager extends EventTarget {
  level: number;
}

/** Told again when it has changed by this much, percent. */
const STEP_PCT = 5;

export interface BatteryWatchProps {
  rigIds: readonly string[];
  send: (rigId: string, report: Report) => void;
}

function useBattery(rigIds: readonly string[], send: BatteryWatchProps["send"]): void {
  const { batteryByHand } = usePrefs();
  const told = useRef<number | null>(null);
  const ids = rigIds.join("&");
  useEffect(() => {
    const get = (navigator as { getBattery?: () => Promise<BatteryManager> }).getBattery;
    if (!get || batteryByHand || ids === "") return;
    let battery: BatteryManager | null = null;
    const look = (): void => {
      if (!battery) return;
      const pct = Math.round(battery.level * 100);
      if (told.current !== null && Math.abs(pct - told.current) < STEP_PCT) return;
      told.current = pct;
      for (const id of ids.split("&")) send(id, { batteryPct: pct });
    };
    get
      .call(navigator)
      .then((found) => {
        battery = found;
        battery.addEventListener("levelchange", look);
        look();
      })
      .catch(() => undefined);
    return () => battery?.removeEventListener("levelchange", look);
  }, [ids, batteryByHand, send]);
}

/** The same as a part that comes after the first draw and shows nothing. */
export function BatteryWatch({ rigIds, send }: BatteryWatchProps): null {
  useBattery(rigIds, send);
  return null;
}
