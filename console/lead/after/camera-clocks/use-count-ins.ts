/** What phones said of their count-ins beside a rig, asked of the hub; null while it is not known. */
import { useEffect, useState } from "react";
import type { CountIn } from "../../../../shared/images/camera-clock/count-ins.ts";
import type { HubApi, Problem } from "../../shell/hub-api.ts";

interface CountInsAnswer {
  countIns: { utcMs: number; pips: number; boundS: number | null }[];
}

export function useCountIns(
  api: HubApi,
  rig: string,
  run: string,
): { countIns: CountIn[] | null; problem: Problem | null } {
  const [known, setKnown] = useState<{ of: string; countIns: CountIn[] } | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const of = `/api/count-ins?${new URLSearchParams({ rig, run })}`;
  useEffect(() => {
    let isOn = true;
    void api.get<CountInsAnswer>(of).then((got) => {
      if (!isOn) return;
      setProblem(got.ok ? null : got.problem);
      if (!got.ok) return;
      const countIns = got.value.countIns.map(({ utcMs, pips, boundS }) => ({
        ...{ atUtcMs: utcMs, pips },
        boundMs: boundS === null ? null : boundS * 1000,
      }));
      setKnown({ of, countIns });
    });
    return () => {
      isOn = false;
    };
  }, [api, of]);
  return { countIns: known?.of === of ? known.countIns : null, problem };
}
