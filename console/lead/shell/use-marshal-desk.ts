/** The marshals' desk as a lead has it: reports and words, asked every few seconds, and the answers. */
import type { MarshalsDesk } from "../../../shared/protocol/marshals.ts";
import { newId } from "../../link/new-id.ts";
import type { Problem } from "./hub-api.ts";
import { useAsked } from "./use-asked.ts";
import { useSend } from "./use-send.ts";

export interface MarshalDesk {
  now: MarshalsDesk | null;
  problem: Problem | null;
  answer: (reportId: string, answer: "on it" | "done") => Promise<void>;
  /** True when the hub has it. */
  tell: (text: string) => Promise<boolean>;
}

const EVERY_MS = 3000;

export function useMarshalDesk(): MarshalDesk {
  const { value: now, ask } = useAsked<MarshalsDesk>("/api/marshals/desk", EVERY_MS);
  const { send, problem } = useSend();
  return {
    now,
    problem,
    answer: async (reportId, answer) => {
      await send("POST", `/api/marshals/reports/${reportId}/answer`, { answer });
      await ask();
    },
    tell: async (text) => {
      const given = await send("POST", "/api/marshals/messages", { id: newId(), text });
      await ask();
      return given.ok;
    },
  };
}
