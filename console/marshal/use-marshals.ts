/**
 * A marshal's side of the desk: what there is, asked every few seconds, and a box of reports that have
 * not arrived yet. The box is kept in this browser: a report survives a reload and a hub that is away.
 */
import { useCallback, useEffect, useRef, useState } from "react";
import type { MarshalMatter, MarshalsNow } from "../../shared/protocol/marshals.ts";
import { inTime } from "../link/in-time.ts";
import { newId } from "../link/new-id.ts";

export interface Waiting {
  id: string;
  matter: MarshalMatter;
  place: string;
}

export interface Marshals {
  /** Null before the first answer. */
  now: MarshalsNow | null;
  /** Not arrived yet. */
  waiting: readonly Waiting[];
  state: "asking" | "linked" | "away" | "refused";
  report: (matter: MarshalMatter, place: string) => void;
}

const EVERY_MS = 3000;
const PATIENCE_MS = 5000;
const BOX = "noonfall-marshal-box";

export function useMarshals(token: string): Marshals {
  const [now, setNow] = useState<MarshalsNow | null>(null);
  const [state, setState] = useState<Marshals["state"]>("asking");
  const [waiting, setWaiting] = useState<readonly Waiting[]>(readBox);
  const box = useRef(waiting);
  const put = useCallback((next: readonly Waiting[]) => {
    box.current = next;
    setWaiting(next);
    writeBox(next);
  }, []);
  const turn = useCallback(async () => {
    const ask = (path: string, body?: object) =>
      fetch(path, {
        method: body ? "POST" : "GET",
        cache: "no-store",
        headers: { Authorization: `Bearer ${token}`, ...(body && { "Content-Type": "application/json" }) },
        signal: inTime(PATIENCE_MS),
        ...(body && { body: JSON.stringify(body) }),
      });
    try {
      for (const one of box.current) {
        const { ok, status } = await ask("/api/marshals/reports", one);
        // What the hub refuses for its form would be refused again; all else waits.
        if (ok || status === 400 || status === 409) put(box.current.filter(({ id }) => id !== one.id));
        else break;
      }
      const answer = await ask("/api/marshals");
      if (answer.ok) setNow((await answer.json()) as MarshalsNow);
      setState(answer.ok ? "linked" : answer.status === 401 ? "refused" : "away");
    } catch {
      setState("away");
    }
  }, [token, put]);
  useEffect(() => {
    let timer = 0;
    let over = false;
    const again = async (): Promise<void> => {
      await turn();
      if (!over) timer = window.setTimeout(again, EVERY_MS);
    };
    void again();
    return () => {
      over = true;
      window.clearTimeout(timer);
    };
  }, [turn]);
  return {
    now,
    waiting,
    state,
    report: (matter, place) => {
      put([...box.current, { id: newId(), matter, place }]);
      void turn();
    },
  };
}

function readBox(): readonly Waiting[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(BOX) ?? "[]");
    return Array.isArray(kept) ? (kept as Waiting[]) : [];
  } catch {
    return [];
  }
}

function writeBox(box: readonly Waiting[]): void {
  try {
    localStorage.setItem(BOX, JSON.stringify(box));
  } catch {
    // A browser that keeps nothing: the box lives as long as the page.
  }
}
