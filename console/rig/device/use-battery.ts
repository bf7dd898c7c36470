/** The phone's own battery, where the browser knows it. What the camera's has left somebody must say. */
import { useEffect, useRef, useState } from "react";
import type { Report } from "../../../shared/run/facts/report-schema.ts";

interface BatteryManager extends EventTarget {
  level: number;
}

/** Told again when it has changed by this much, percent. */
const STEP_PCT = 5;

/** In percent; null where the browser does not say. */
export function usePhoneBattery(): number | null {
  const [pct, setPct] = useState<number | null>(null);
  useEffect(() => {
    const get = (navigator as { getBattery?: () => Promise<BatteryManager> }).getBattery;
    if (!get) return;
    let gone = false;
    let battery: BatteryManager | null = null;
    const look = (): void => {
      if (battery) setPct(Math.round(battery.level * 100));
    };
    get
      .call(navigator)
      .then((found) => {
        if (gone) return;
        battery = found;
        battery.addEventListener("levelchange", look);
        look();
      })
      .catch(() => undefined);
    return () => {
      gone = true;
      battery?.removeEventListener("levelchange", look);
    };
  }, []);
  return pct;
}

export interface BatteryWatchProps {
  rigIds: readonly string[];
  send: (rigId: string, report: Report) => void;
}

/** Reports it with each rig; shows nothing. */
export function BatteryWatch({ rigIds, send }: BatteryWatchProps): null {
  const pct = usePhoneBattery();
  const told = useRef<{ pct: number; ids: string } | null>(null);
  const ids = rigIds.join("&");
  useEffect(() => {
    if (pct === null || ids === "") return;
    if (told.current?.ids === ids && Math.abs(pct - told.current.pct) < STEP_PCT) return;
    told.current = { pct, ids };
    for (const id of ids.split("&")) send(id, { phoneBatteryPct: pct });
  }, [pct, ids, send]);
  return null;
}
