/** One question to the hub, asked at once and then every `everyMs` for as long as a page shows the answer. */
import { useCallback, useEffect, useState } from "react";
import type { Problem, Result } from "./hub-api.ts";
import { useLead } from "./lead-context.ts";

export interface Asked<Value> {
  /** The newest answer; it stays while the hub cannot be reached. Null before the first. */
  value: Value | null;
  /** Why the newest question, or what was taken, has no answer. */
  problem: Problem | null;
  /** At once, out of turn. */
  ask: () => Promise<void>;
  /** An answer of the same kind to something else that was sent; true when it is one. */
  take: (answer: Result<Value>) => boolean;
}

export function useAsked<Value>(path: string, everyMs: number): Asked<Value> {
  const { api } = useLead();
  const [value, setValue] = useState<Value | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const take = useCallback((answer: Result<Value>) => {
    setProblem(answer.ok ? null : answer.problem);
    if (answer.ok) setValue(answer.value);
    return answer.ok;
  }, []);
  const ask = useCallback(
    async (signal?: AbortSignal) => {
      const answer = await api.get<Value>(path, signal);
      if (!signal?.aborted) take(answer);
    },
    [api, path, take],
  );
  useEffect(() => {
    const gone = new AbortController();
    void ask(gone.signal);
    const timer = setInterval(() => void ask(gone.signal), everyMs);
    return () => {
      gone.abort();
      clearInterval(timer);
    };
  }, [ask, everyMs]);
  return { value, problem, ask: () => ask(), take };
}
