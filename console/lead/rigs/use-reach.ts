/** How the hub is reached by http and https, for what is printed; null until it has been told. */
import { useEffect, useState } from "react";
import type { Reach } from "../../link/reach.ts";
import { useLead } from "../lead-context.ts";

export function useReach(): Reach | null {
  const { api } = useLead();
  const [reach, setReach] = useState<Reach | null>(null);
  useEffect(() => {
    const gone = new AbortController();
    void api.get<Reach>("/api/reach", gone.signal).then((answer) => {
      if (answer.ok && !gone.signal.aborted) setReach(answer.value);
    });
    return () => gone.abort();
  }, [api]);
  return reach;
}

/**
 * A link at the address that phones should use: by https where the group has a certificate of its
 * own, which phones trust as they are; else as the hub gave it, by plain http, which always works.
 */
export function atBestOrigin(url: string, reach: Pick<Reach, "tier" | "secureOrigins"> | null): string {
  const secure = reach?.tier === "own certificate" ? reach.secureOrigins[0] : undefined;
  return secure === undefined ? url : `${secure}${url.slice(new URL(url).origin.length)}`;
}
