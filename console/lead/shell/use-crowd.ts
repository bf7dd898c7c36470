/** How what boards show goes out to many, asked every five seconds; and what a lead sets of it. */
import type { Problem } from "./hub-api.ts";
import { useAsked } from "./use-asked.ts";
import { useSend } from "./use-send.ts";

/** The hub's answer (GET /api/crowd). */
export interface CrowdNow {
  key: string;
  publish: {
    address: string;
    trouble: string | null;
    lastPublishedUtcMs: number | null;
    others: "other site" | "same site" | "no hub" | null;
  } | null;
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
  const { value: now, take } = useAsked<CrowdNow>("/api/crowd", EVERY_MS);
  const { send, problem } = useSend();
  return {
    now,
    problem,
    keep: async (set) => take(await send<CrowdNow>("PUT", "/api/crowd", set)),
  };
}

/** The board's address with its key, as it is printed and scanned. */
export function boardAddress(origin: string, key: string): string {
  return `${origin}/board#key=${key}`;
}
