/** What the sky was like in totality: what most rigs said of it last before the Sun came back. */

import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import { recordOf } from "../../shared/run/facts/rig-record.ts";
import type { RunRecord, SiteState } from "../../shared/run/state.ts";
import type { UtcMs } from "../../shared/time/instants.ts";

/** A word on the sky older than this says nothing of it, ms. Common practice, no source. */
const FRESH_MS = 30 * 60_000;

/** Null where nobody has said anything lately. Where as many say one thing as another, the worse one. */
export function skySeen(state: SiteState, run: RunRecord, now: UtcMs): BoardSnapshot["skySeen"] {
  const order = ["overcast", "broken", "thin", "clear"] as const;
  const said = state.plan.rigs.flatMap(({ id }) => {
    const register = recordOf(state, run, id).sky;
    return register && now - register.observedUtcMs < FRESH_MS ? [register.value] : [];
  });
  const count = (sky: string): number => said.filter((one) => one === sky).length;
  const most = Math.max(0, ...order.map(count));
  return most === 0 ? null : (order.find((sky) => count(sky) === most) ?? null);
}
