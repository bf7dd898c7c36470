/** How the hub is reached by http and https, for what is printed; null until it has been told. */
import { useEffect, useState } from "react";
import type { NetworkAnswer } from "../../link/network-answer.ts";
import { useLead } from "../shell/lead-context.ts";

export function useNetwork(): NetworkAnswer | null {
  const { api } = useLead();
  const [network, setNetwork] = useState<NetworkAnswer | null>(null);
  useEffect(() => {
    const gone = new AbortController();
    void api.get<NetworkAnswer>("/api/reach", gone.signal).then((answer) => {
      if (answer.ok && !gone.signal.aborted) setNetwork(answer.value);
    });
    return () => gone.abort();
  }, [api]);
  return network;
}

/**
 * A link at the address that phones should use: by https where the group has a certificate of its
 * own, which phones trust as they are; else as the hub gave it, by plain http, which always works.
 */
export function atBestOrigin(
  url: string,
  network: Pick<NetworkAnswer, "tier" | "secureOrigins"> | null,
): string {
  const secure = network?.tier === "own certificate" ? network.secureOrigins[0] : undefined;
  return secure === undefined ? url : `${secure}${url.slice(new URL(url).origin.length)}`;
}
