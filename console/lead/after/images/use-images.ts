/** What the hub knows of a run's images, and the reading of more of them. */
import { useCallback, useEffect, useRef, useState } from "react";
import type { Frame } from "../../../../shared/fields/image-frame.ts";
import type { HubApi, Problem } from "../../shell/hub-api.ts";
import type { Chosen, OpenFile } from "./chosen-files.ts";
import type { ImagesAnswer } from "./image-row.ts";
import { type HeaderDesk, openHeaderDesk } from "./open-worker.ts";
import { Reading, type ReadingView } from "./reading.ts";

export interface Images {
  answer: ImagesAnswer | null;
  problem: Problem | null;
  reading: ReadingView | null;
  /** Files of this page, by rig and path. */
  open: ReadonlyMap<string, OpenFile>;
  sidecars: ReadonlyMap<string, File>;
  choose: (rigId: string, camera: string | null, chosen: Chosen) => void;
  stop: () => void;
  goOn: () => void;
}

/** @param clocks changes when a camera's clock was corrected: every frame may have moved. */
export function useImages(api: HubApi, runId: string, clocks: unknown): Images {
  const [answer, setAnswer] = useState<ImagesAnswer | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [view, setView] = useState<ReadingView | null>(null);
  const open = useRef(new Map<string, OpenFile>());
  const sidecars = useRef(new Map<string, File>());
  const reading = useRef<Reading | null>(null);
  const desk = useRef<HeaderDesk | null>(null);
  const asked = useRef(0);

  const refresh = useCallback(async () => {
    asked.current += 1;
    const mine = asked.current;
    const got = await api.get<ImagesAnswer>(`/api/images?${new URLSearchParams({ run: runId })}`);
    if (mine !== asked.current) return;
    if (got.ok) setAnswer(got.value);
    setProblem(got.ok ? null : got.problem);
  }, [api, runId]);

  // biome-ignore lint/correctness/useExhaustiveDependencies: a corrected clock moves what the hub answers.
  useEffect(() => {
    void refresh();
  }, [refresh, clocks]);
  useEffect(() => {
    return () => {
      reading.current?.stop();
      desk.current?.close();
      desk.current = null;
    };
  }, []);

  const goOn = useCallback(() => {
    const mine = reading.current;
    void mine?.goOn().then(refresh, (error: unknown) => {
      mine.stop();
      setProblem({ code: "reading", message: String((error as Error).message), status: 0 });
    });
  }, [refresh]);

  const choose = useCallback(
    (rigId: string, camera: string | null, chosen: Chosen) => {
      if (chosen.media.length === 0 && chosen.sidecars.length === 0) return;
      reading.current?.stop();
      for (const { path, file } of chosen.sidecars) sidecars.current.set(`${rigId}/${path}`, file);
      desk.current ??= openHeaderDesk();
      const at = desk.current;
      reading.current = new Reading(chosen.media, {
        read: (question) => at.read(question),
        note: async (frames: Frame[]) => {
          const told = await api.send("POST", "/api/images", { runId, rigId, camera, frames });
          if (!told.ok) setProblem(told.problem);
          return told.ok;
        },
        opened: (path, file) => open.current.set(`${rigId}/${path}`, file),
        changed: setView,
      });
      goOn();
    },
    [api, runId, goOn],
  );
  const stop = useCallback(() => reading.current?.stop(), []);
  return {
    answer,
    problem,
    reading: view,
    open: open.current,
    sidecars: sidecars.current,
    choose,
    stop,
    goOn,
  };
}
