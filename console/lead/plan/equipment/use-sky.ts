/** What stands around the Sun at maximum over the plan's site, asked of the hub once for a place. */
import { useEffect, useState } from "react";
import type { AroundSun } from "../../../../shared/budget/sky-frame.ts";
import type { Plan } from "../../../../shared/plan/model/plan.ts";
import { type UtcMs, utcMs } from "../../../../shared/time/instants.ts";
import { useLead } from "../../shell/lead-context.ts";

export interface SkyBody extends AroundSun {
  name: string;
  kind: "planet" | "star";
  magnitude: number;
}

export interface SkyAtMaximum {
  maxUtcMs: UtcMs;
  /** Position angle of the zenith at the Sun, degrees. */
  zenithAngleDeg: number;
  radiusArcsec: number;
  bodies: readonly SkyBody[];
}

interface Answer {
  utc: string | null;
  sky: {
    sun: { radiusArcsec: number };
    zenithAngleDeg: number;
    bodies: SkyBody[];
  } | null;
}

/** Null until it is known, and where there is no eclipse. */
export function useSky(plan: Pick<Plan, "eclipse" | "site"> | null): SkyAtMaximum | null {
  const { api } = useLead();
  const [sky, setSky] = useState<SkyAtMaximum | null>(null);
  const { eclipse = null, site = null } = plan ?? {};
  const query =
    eclipse && site
      ? new URLSearchParams({
          eclipse,
          lat: String(site.latDeg),
          lon: String(site.lonDeg),
          height: String(site.heightM),
        }).toString()
      : null;
  useEffect(() => {
    setSky(null);
    if (query === null) return;
    const gone = new AbortController();
    void api.get<Answer>(`/api/sky?${query}`, gone.signal).then((answer) => {
      if (gone.signal.aborted || !answer.ok || !answer.value.sky || !answer.value.utc) return;
      const { utc, sky: found } = answer.value;
      setSky({
        maxUtcMs: utcMs(Date.parse(utc)),
        zenithAngleDeg: found.zenithAngleDeg,
        radiusArcsec: found.sun.radiusArcsec,
        bodies: found.bodies,
      });
    });
    return () => gone.abort();
  }, [api, query]);
  return sky;
}
