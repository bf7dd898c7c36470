/** The position that a receiver at the hub offers; null where there is none. */
import { useEffect, useState } from "react";
import { useLead } from "../../shell/lead-context.ts";

export interface ReceiverPlace {
  latDeg: number;
  lonDeg: number;
  heightM: number | null;
  /** Horizontal error as the receiver estimates it, metres. */
  errorM: number | null;
}

export function useReceiverPlace(): ReceiverPlace | null {
  const { api } = useLead();
  const [place, setPlace] = useState<ReceiverPlace | null>(null);
  useEffect(() => {
    const gone = new AbortController();
    void api.get<{ site?: ReceiverPlace | null }>("/api/clock", gone.signal).then((answer) => {
      if (!gone.signal.aborted && answer.ok) setPlace(answer.value.site ?? null);
    });
    return () => gone.abort();
  }, [api]);
  return place;
}
