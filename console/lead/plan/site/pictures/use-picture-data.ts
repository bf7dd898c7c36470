/** Fetches path, distance and track for the pictures; the last ones stay until the next have come. */
import { useEffect, useState } from "react";
import type { Problem } from "../../../shell/hub-api.ts";
import { useLead } from "../../../shell/lead-context.ts";
import type { TypedPlace } from "../site-form.ts";
import type { Beads, EclipsePath, PathDistance, TrackPoint } from "./picture-data.ts";

export interface PictureData {
  path: EclipsePath;
  distance: PathDistance | null;
  track: TrackPoint[];
  /** Null where there is no central phase. */
  beads: Beads | null;
}

const REST_MS = 300;

export function usePictureData(
  eclipse: string,
  place: TypedPlace,
): { data: PictureData | null; problem: Problem | null } {
  const { api } = useLead();
  const [answer, setAnswer] = useState<{ data: PictureData | null; problem: Problem | null }>({
    data: null,
    problem: null,
  });
  const { latDeg, lonDeg, heightM } = place;
  useEffect(() => {
    const gone = new AbortController();
    const timer = setTimeout(async () => {
      const query = new URLSearchParams({
        eclipse,
        lat: String(latDeg),
        lon: String(lonDeg),
        height: String(heightM),
      });
      const [path, distance, track, limb] = await Promise.all([
        api.get<EclipsePath>(`/api/path?${new URLSearchParams({ eclipse })}`, gone.signal),
        api.get<{ distance: PathDistance | null }>(`/api/path-distance?${query}`, gone.signal),
        api.get<{ points: TrackPoint[] }>(`/api/track?${query}`, gone.signal),
        api.get<{ limb: { beads: Beads } | null }>(`/api/limb?${query}`, gone.signal),
      ]);
      if (gone.signal.aborted) return;
      if (!path.ok) return setAnswer((before) => ({ ...before, problem: path.problem }));
      if (!track.ok) return setAnswer((before) => ({ ...before, problem: track.problem }));
      setAnswer({
        data: {
          path: path.value,
          distance: distance.ok ? distance.value.distance : null,
          track: track.value.points,
          beads: limb.ok ? (limb.value.limb?.beads ?? null) : null,
        },
        problem: null,
      });
    }, REST_MS);
    return () => {
      clearTimeout(timer);
      gone.abort();
    };
  }, [api, eclipse, latDeg, lonDeg, heightM]);
  return answer;
}
