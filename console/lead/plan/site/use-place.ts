/** Asks the hub what a typed place gets and which zone it is in, as the fields change. */
import { useEffect, useState } from "react";
import type { Circumstances } from "../../../../shared/eclipse/circumstances-types.ts";
import type { Problem } from "../../shell/hub-api.ts";
import { useLead } from "../../shell/lead-context.ts";
import type { TypedPlace } from "./site-form.ts";

export interface PlaceAnswer {
  circumstances: Circumstances | null;
  /** IANA zone of the place; empty until known. */
  zone: string;
  problem: Problem | null;
  asking: boolean;
}

const NOTHING: PlaceAnswer = { circumstances: null, zone: "", problem: null, asking: false };
/** How long the fields must rest before the hub is asked, ms. */
const REST_MS = 250;

/** What eclipse and place give; the last answer stays until the next has come. */
export function usePlace(
  eclipse: string | null,
  place: TypedPlace | null,
  placeBoundM: number | null,
): PlaceAnswer {
  const { api } = useLead();
  const [answer, setAnswer] = useState(NOTHING);
  const lat = place?.latDeg ?? null;
  const lon = place?.lonDeg ?? null;
  const height = place?.heightM ?? 0;
  useEffect(() => {
    if (lat === null || lon === null) {
      setAnswer(NOTHING);
      return;
    }
    const gone = new AbortController();
    setAnswer((before) => ({ ...before, asking: true }));
    const timer = setTimeout(async () => {
      const query = new URLSearchParams({ lat: String(lat), lon: String(lon), height: String(height) });
      if (placeBoundM !== null) query.set("placeBound", String(placeBoundM));
      if (eclipse) query.set("eclipse", eclipse);
      const [zone, circumstances] = await Promise.all([
        api.get<{ zone: string }>(
          `/api/coordinates?${new URLSearchParams({ text: `${lat}, ${lon}` })}`,
          gone.signal,
        ),
        eclipse ? api.get<Circumstances>(`/api/circumstances?${query}`, gone.signal) : null,
      ]);
      if (gone.signal.aborted) return;
      setAnswer({
        circumstances: circumstances?.ok ? circumstances.value : null,
        zone: zone.ok ? zone.value.zone : "",
        problem: circumstances && !circumstances.ok ? circumstances.problem : null,
        asking: false,
      });
    }, REST_MS);
    return () => {
      clearTimeout(timer);
      gone.abort();
    };
  }, [api, eclipse, lat, lon, height, placeBoundM]);
  return answer;
}
