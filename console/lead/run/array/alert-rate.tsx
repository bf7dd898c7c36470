/**
 * How many alerts there were in the last ten minutes: more than ten in ten minutes is a flood that nobody
 * can follow, over when fewer than five come (ISA-18.2, IEC 62682; the end from memory).
 */
import { useRef } from "react";
import { t } from "../../../words/words.ts";
import { useAsked } from "../../shell/use-asked.ts";

const ASK_MS = 5000;
const FLOOD_OVER = 10;
const FLOOD_ENDS_BELOW = 5;

export function AlertRate() {
  const { value } = useAsked<{ lastTenMinutes: number }>("/api/alerts/rate", ASK_MS);
  const flooded = useRef(false);
  if (!value) return null;
  const { lastTenMinutes: count } = value;
  flooded.current = isFlood(flooded.current, count);
  return (
    <p className="array__rate" data-alert-rate={count} data-flood={flooded.current}>
      {flooded.current ? t("lead.alert.flood", { count }) : t("lead.alert.rate", { count })}
    </p>
  );
}

export function isFlood(before: boolean, lastTenMinutes: number): boolean {
  return lastTenMinutes > FLOOD_OVER || (before && lastTenMinutes >= FLOOD_ENDS_BELOW);
}
