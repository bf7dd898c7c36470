/** The places to compare as the hub keeps them, what each gets, and moving the plan to one and back. */
import { useCallback, useEffect, useState } from "react";
import type { Site } from "../../../../../shared/plan/model/plan.ts";
import type { Candidate, CandidateDraft } from "../../../../../shared/plan/places/candidate.ts";
import type { Departure } from "../../../../../shared/plan/places/departure.ts";
import type { RigMoved } from "../../../../../shared/plan/places/what-moved.ts";
import type { Problem, Result } from "../../../shell/hub-api.ts";
import { useLead } from "../../../shell/lead-context.ts";

export interface CandidateGets {
  kind: "none" | "partial" | "annular" | "total";
  visible: boolean;
  durationS: number;
  obscuration: number;
  altitudeDeg: number | null;
  timingBoundS: number;
  beadsC2S: number | null;
  beadsC3S: number | null;
  departure: (Departure & { zone: string }) | null;
}
export type ShownCandidate = Candidate & { here: boolean; gets: CandidateGets | null };

export interface CandidatesKept {
  candidates: ShownCandidate[];
  cameFrom: Site | null;
}

export interface Moved {
  site: Site;
  rigs: RigMoved[];
}

export interface Candidates {
  /** Null until the hub has said it. */
  kept: CandidatesKept | null;
  problem: Problem | null;
  moved: Moved | null;
  busy: boolean;
  /** What is not said gets the usual figures. */
  keep(candidate: CandidateDraft): Promise<boolean>;
  takeOff(id: string): Promise<boolean>;
  /** Null goes back to where the plan came from. */
  moveTo(id: string | null): Promise<boolean>;
}

const PATH = "/api/candidates";

export function useCandidates(): Candidates {
  const { api, view } = useLead();
  const [kept, setKept] = useState<CandidatesKept | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [moved, setMoved] = useState<Moved | null>(null);
  const [busy, setBusy] = useState(false);
  const take = useCallback((answer: Result<CandidatesKept>): boolean => {
    setProblem(answer.ok ? null : answer.problem);
    if (answer.ok) setKept(answer.value);
    return answer.ok;
  }, []);
  // What a place gets hangs on the plan's eclipse, and where the plan is on its site.
  const revision = view.state?.planParts.site?.revision ?? 0;
  // biome-ignore lint/correctness/useExhaustiveDependencies: read anew when the site's part was saved.
  useEffect(() => {
    const gone = new AbortController();
    void api.get<CandidatesKept>(PATH, gone.signal).then((answer) => {
      if (!gone.signal.aborted) take(answer);
    });
    return () => gone.abort();
  }, [api, take, revision]);

  const busily = async (work: () => Promise<boolean>): Promise<boolean> => {
    setBusy(true);
    try {
      return await work();
    } finally {
      setBusy(false);
    }
  };
  const pathOf = (id: string) => `${PATH}/${encodeURIComponent(id)}`;
  return {
    kept,
    problem,
    moved,
    busy,
    keep: (candidate) =>
      busily(async () => take(await api.send<CandidatesKept>("PUT", pathOf(candidate.id), candidate))),
    takeOff: (id) => busily(async () => take(await api.send<CandidatesKept>("DELETE", pathOf(id)))),
    moveTo: (id) =>
      busily(async () => {
        const path = id === null ? "/api/candidates-back" : `${pathOf(id)}/move`;
        const answer = await api.send<Moved>("POST", path, undefined, { "If-Match": `"site-${revision}"` });
        setProblem(answer.ok ? null : answer.problem);
        if (!answer.ok) return false;
        setMoved(answer.value);
        return take(await api.get<CandidatesKept>(PATH));
      }),
  };
}
