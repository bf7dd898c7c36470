/** How what boards show goes out to many, asked every five seconds; and what a lead sets of it. */
import { useCallback, useEffect, useState } from "react";
import type { Problem, Result } from "./hub-api.ts";
import { useLead } from "./lead-context.ts";

/** The hub's answer (GET /api/crowd). */
export interface CrowdNow {
  key: string;
  publish: { address: string; trouble: string | null; lastPublishedUtcMs: number | null } | null;
  relays: number;
  boards: number;
  lastHeardMs: number | null;
  embed: readonly string[];
  address: string | null;
}

export interface CrowdKept {
  now: CrowdNow | null;
  problem: Problem | null;
  /** True when the hub has it. */
  keep: (set: Pick<CrowdNow, "embed" | "address">) => Promise<boolean>;
}

const EVERY_MS = 5000;

export function useCrowd(): CrowdKept {
  const { api } = useLead();
  const [now, setNow] = useState<CrowdNow | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const take = useCallback((answer: Result<CrowdNow>): boolean => {
    if (answer.ok) setNow(answer.value);
    return answer.ok;
  }, []);
  useEffect(() => {
    const gone = new AbortController();
    const ask = (): void =>
      void api.get<CrowdNow>("/api/crowd", gone.signal).then((answer) => {
        if (!gone.signal.aborted) take(answer);
      });
    ask();
    const timer = window.setInterval(ask, EVERY_MS);
    return () => {
      window.clearInterval(timer);
      gone.abort();
    };
  }, [api, take]);
  return {
    now,
    problem,
    keep: async (set) => {
      const answer = await api.send<CrowdNow>("PUT", "/api/crowd", set);
      setProblem(answer.ok ? null : answer.problem);
      return take(answer);
    },
  };
}

/** The board's address with its key, as it is printed and scanned. */
export function boardAddress(origin: string, key: string): string {
  return `${origin}/board#key=${key}`;
}
