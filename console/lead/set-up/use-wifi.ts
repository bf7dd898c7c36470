/** The site's Wi-Fi as the hub keeps it, and how a lead changes it. */
import { useCallback, useEffect, useState } from "react";
import type { Wifi } from "../../../shared/protocol/wifi.ts";
import type { Problem, Result } from "../shell/hub-api.ts";
import { useLead } from "../shell/lead-context.ts";

const PATH = "/api/wifi";

export interface WifiKept {
  /** Undefined until the hub has said it. */
  wifi: Wifi | null | undefined;
  problem: Problem | null;
  /** True when the hub has it; null forgets it. */
  keep: (wifi: Wifi | null) => Promise<boolean>;
}

export function useWifi(): WifiKept {
  const { api } = useLead();
  const [wifi, setWifi] = useState<Wifi | null | undefined>(undefined);
  const [problem, setProblem] = useState<Problem | null>(null);
  const take = useCallback((answer: Result<{ wifi: Wifi | null }>): boolean => {
    setProblem(answer.ok ? null : answer.problem);
    if (answer.ok) setWifi(answer.value.wifi);
    return answer.ok;
  }, []);
  useEffect(() => {
    const gone = new AbortController();
    void api.get<{ wifi: Wifi | null }>(PATH, gone.signal).then((answer) => {
      if (!gone.signal.aborted) take(answer);
    });
    return () => gone.abort();
  }, [api, take]);
  return {
    wifi,
    problem,
    keep: async (next) => take(await (next ? api.send("PUT", PATH, next) : api.send("DELETE", PATH))),
  };
}
