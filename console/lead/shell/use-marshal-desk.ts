/** The marshals' desk as a lead has it: reports and words, asked every few seconds, and the answers. */
import { useCallback, useEffect, useState } from "react";
import type { MarshalsNow } from "../../../shared/protocol/marshals.ts";
import { newId } from "../../link/new-id.ts";
import type { Problem } from "./hub-api.ts";
import { useLead } from "./lead-context.ts";

export interface MarshalDesk {
  now: MarshalsNow | null;
  problem: Problem | null;
  answer: (reportId: string, answer: "on it" | "done") => Promise<void>;
  /** True when the hub has it. */
  tell: (text: string) => Promise<boolean>;
}

const EVERY_MS = 3000;

export function useMarshalDesk(): MarshalDesk {
  const { api } = useLead();
  const [now, setNow] = useState<MarshalsNow | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const ask = useCallback(
    async (signal?: AbortSignal) => {
      const answer = await api.get<MarshalsNow>("/api/marshals/desk", signal);
      if (answer.ok && !signal?.aborted) setNow(answer.value);
    },
    [api],
  );
  useEffect(() => {
    const gone = new AbortController();
    void ask(gone.signal);
    const timer = window.setInterval(() => void ask(gone.signal), EVERY_MS);
    return () => {
      window.clearInterval(timer);
      gone.abort();
    };
  }, [ask]);
  return {
    now,
    problem,
    answer: async (reportId, answer) => {
      const given = await api.send("POST", `/api/marshals/reports/${reportId}/answer`, { answer });
      setProblem(given.ok ? null : given.problem);
      await ask();
    },
    tell: async (text) => {
      const given = await api.send("POST", "/api/marshals/messages", { id: newId(), text });
      setProblem(given.ok ? null : given.problem);
      await ask();
      return given.ok;
    },
  };
}
