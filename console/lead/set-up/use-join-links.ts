/** The join links of all rigs, for the sheet that is printed. */
import { useEffect, useState } from "react";
import type { Rig } from "../../../shared/plan/model/plan.ts";
import type { Problem } from "../shell/hub-api.ts";
import { useLead } from "../shell/lead-context.ts";

export interface JoinLinks {
  /** By rig; missing until it has come. */
  byRig: Readonly<Record<string, string>>;
  problem: Problem | null;
}

export function useJoinLinks(rigs: readonly Pick<Rig, "id">[]): JoinLinks {
  const { api } = useLead();
  const [links, setLinks] = useState<JoinLinks>({ byRig: {}, problem: null });
  const ids = rigs.map((rig) => rig.id).join(" ");
  useEffect(() => {
    const gone = new AbortController();
    void (async () => {
      const byRig: Record<string, string> = {};
      for (const id of ids === "" ? [] : ids.split(" ")) {
        const answer = await api.get<{ url: string }>(`/api/rigs/${id}/link`, gone.signal);
        if (gone.signal.aborted) return;
        if (!answer.ok) return setLinks({ byRig, problem: answer.problem });
        byRig[id] = answer.value.url;
      }
      setLinks({ byRig, problem: null });
    })();
    return () => gone.abort();
  }, [api, ids]);
  return links;
}
