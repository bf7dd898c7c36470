/** Where thumbnails come from: files open in this page, and those that a lead has kept with the site. */
import { useCallback, useEffect, useMemo, useRef, useState } from "react";
import type { HubApi, Problem } from "../../shell/hub-api.ts";
import type { OpenFile } from "./chosen-files.ts";
import { type ImageRow, rowKey } from "./image-row.ts";
import { smallPicture } from "./small-picture.ts";

/** Of one call, as the hub takes them. */
const AT_ONCE = 50;

interface KeptAnswer {
  bytes: number;
  mostBytes: number;
  kept: { rigId: string; file: string }[];
}

/** What a thumbnail needs: the same object until something of it changes. */
export interface ShownPictures {
  /** By rig and path. */
  open: ReadonlyMap<string, OpenFile>;
  /** Kept with the site. */
  kept: ReadonlySet<string>;
  /** One that is kept; null when it cannot be had. */
  load: (rigId: string, file: string) => Promise<Blob | null>;
}

export interface Pictures {
  shown: ShownPictures;
  bytes: number;
  /** While they are made small and sent. */
  progress: { done: number; all: number } | null;
  /** Of the last time: how many found no room. */
  left: number;
  problem: Problem | null;
  keep: (rows: readonly ImageRow[]) => Promise<void>;
  stop: () => void;
  forget: () => Promise<void>;
}

export function usePictures(api: HubApi, run: string, open: ReadonlyMap<string, OpenFile>): Pictures {
  const [answer, setAnswer] = useState<KeptAnswer | null>(null);
  const [progress, setProgress] = useState<Pictures["progress"]>(null);
  const [left, setLeft] = useState(0);
  const [problem, setProblem] = useState<Problem | null>(null);
  const on = useRef(false);

  const refresh = useCallback(async () => {
    const got = await api.get<KeptAnswer>(`/api/thumbnails?${new URLSearchParams({ run })}`);
    if (!got.ok) {
      setProblem(got.problem);
      return;
    }
    setAnswer(got.value);
  }, [api, run]);
  useEffect(() => {
    void refresh();
    return () => {
      on.current = false;
    };
  }, [refresh]);

  const load = useCallback(
    async (rig: string, file: string) => {
      const got = await api.file(`/api/thumbnails/picture?${new URLSearchParams({ run, rig, file })}`);
      return got.ok ? got.value.blob : null;
    },
    [api, run],
  );

  /** Rig by rig, some at a time; goes on until it is stopped or there is no room. */
  async function keep(rows: readonly ImageRow[]): Promise<void> {
    if (on.current) return;
    on.current = true;
    setProblem(null);
    setLeft(0);
    let done = 0;
    let noRoom = 0;
    for (const some of batches(rows)) {
      if (!on.current) break;
      setProgress({ done, all: rows.length });
      const thumbnails: { file: string; jpeg: string }[] = [];
      for (const row of some) {
        const file = open.get(rowKey(row));
        const jpeg = file ? await smallPicture(file) : null;
        if (jpeg !== null) thumbnails.push({ file: row.file, jpeg });
      }
      const body = { run, rigId: some[0]?.rigId, thumbnails };
      const told =
        thumbnails.length > 0 ? await api.send<{ left: number }>("POST", "/api/thumbnails", body) : null;
      done += some.length;
      if (told?.ok) noRoom += told.value.left;
      if (told && !told.ok) setProblem(told.problem);
      if (told && (!told.ok || told.value.left > 0)) break;
    }
    // What was not even tried for want of room finds none either.
    setLeft(noRoom > 0 ? noRoom + rows.length - done : 0);
    on.current = false;
    setProgress(null);
    await refresh();
  }
  async function forget(): Promise<void> {
    const told = await api.send("DELETE", "/api/thumbnails");
    setProblem(told.ok ? null : told.problem);
    setLeft(0);
    await refresh();
  }
  const stop = () => {
    on.current = false;
  };
  const kept = useMemo(() => new Set<string>(answer?.kept.map(rowKey)), [answer]);
  const shown = useMemo(() => ({ open, kept, load }), [open, kept, load]);
  return { shown, bytes: answer?.bytes ?? 0, progress, left, problem, keep, stop, forget };
}

function batches(rows: readonly ImageRow[]): ImageRow[][] {
  const byRig = new Map<string, ImageRow[]>();
  for (const row of rows) {
    const mine = byRig.get(row.rigId) ?? [];
    mine.push(row);
    byRig.set(row.rigId, mine);
  }
  return [...byRig.values()].flatMap((mine) =>
    Array.from({ length: Math.ceil(mine.length / AT_ONCE) }, (_, i) =>
      mine.slice(i * AT_ONCE, (i + 1) * AT_ONCE),
    ),
  );
}
