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
  /** When it was tapped, by the eclipse clock. */
  atUtcMs: number;
  /** The hub does not take it, and why: it stays written until it is put away. */
  refused?: string;
}

export interface Marshals {
  /** Null before the first answer. */
  now: MarshalsNow | null;
  /** Not arrived yet. */
  waiting: readonly Waiting[];
  state: "asking" | "linked" | "away" | "refused";
  /** Two taps at once are one report. */
  report: (matter: MarshalMatter, place: string) => void;
  /** Takes one that was refused from the page. */
  putAway: (id: string) => void;
  /** Reports of this phone, newest first. */
  mine: readonly string[];
}

const EVERY_MS = 3000;
const PATIENCE_MS = 5000;
const BOX = "noonfall-marshal-box";
const MINE = "noonfall-marshal-mine";
/** Of a finger that trembles, ms. */
const TWICE_MS = 1500;
const MOST_MINE = 100;

export function useMarshals(token: string, now: () => number): Marshals {
  const [told, setTold] = useState<MarshalsNow | null>(null);
  const [state, setState] = useState<Marshals["state"]>("asking");
  const [waiting, setWaiting] = useState<readonly Waiting[]>(() => readKept<Waiting>(BOX));
  const [mine, setMine] = useState<readonly string[]>(() => readKept<string>(MINE));
  const box = useRef(waiting);
  const [page] = useState(newId);
  const put = useCallback((next: readonly Waiting[]) => {
    box.current = next;
    setWaiting(next);
    writeKept(BOX, next);
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
      for (const one of box.current.filter(({ refused }) => refused === undefined)) {
        const { id, matter, place, atUtcMs } = one;
        const answer = await ask("/api/marshals/reports", { id, matter, place, atUtcMs });
        // What the hub refuses for its form would be refused again; all else waits.
        const refused = answer.status === 400 || answer.status === 409;
        if (!answer.ok && !refused) break;
        const why = refused ? await whyOf(answer) : "";
        put(
          box.current.flatMap((each) =>
            each.id !== one.id ? [each] : refused ? [{ ...each, refused: why }] : [],
          ),
        );
      }
      // What nobody looks at has not been seen.
      const answer = await ask(document.hidden ? "/api/marshals" : `/api/marshals?page=${page}`);
      if (answer.ok) setTold((await answer.json()) as MarshalsNow);
      setState(answer.ok ? "linked" : answer.status === 401 ? "refused" : "away");
    } catch {
      setState("away");
    }
  }, [token, put, page]);
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
  const own = useRef(mine);
  const last = useRef<{ matter: MarshalMatter; place: string; atMs: number } | null>(null);
  return {
    now: told,
    waiting,
    state,
    mine,
    report: (matter, place) => {
      const atMs = performance.now();
      const before = last.current;
      last.current = { matter, place, atMs };
      if (before?.matter === matter && before.place === place && atMs - before.atMs < TWICE_MS) return;
      const id = newId();
      own.current = [id, ...own.current].slice(0, MOST_MINE);
      setMine(own.current);
      writeKept(MINE, own.current);
      put([...box.current, { id, matter, place, atUtcMs: Math.floor(now()) }]);
      void turn();
    },
    putAway: (id) => put(box.current.filter((one) => one.id !== id)),
  };
}

async function whyOf(answer: Response): Promise<string> {
  try {
    return ((await answer.json()) as { error: { message: string } }).error.message;
  } catch {
    return String(answer.status);
  }
}

function readKept<Item>(key: string): readonly Item[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(key) ?? "[]");
    return Array.isArray(kept) ? (kept as Item[]) : [];
  } catch {
    return [];
  }
}

function writeKept(key: string, items: readonly unknown[]): void {
  try {
    localStorage.setItem(key, JSON.stringify(items));
  } catch {
    // A browser that keeps nothing: they live as long as the page.
  }
}
