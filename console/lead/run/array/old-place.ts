/**
 * After the site has moved: rigs whose phones cannot have heard of it. A phone that is linked is told
 * at once; one that is not goes by the old place until it is back. Pure.
 */
import type { SiteState } from "../../../../shared/run/state.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";

/** How long after a move it is said, ms. */
const SAID_MS = 6 * 3_600_000;

export function onOldPlace<R extends Pick<RigStatus, "rig" | "linked" | "lastUtcMs">>(
  { placeChangedUtcMs: moved, devices }: Pick<SiteState, "placeChangedUtcMs" | "devices">,
  rigs: readonly R[],
  now: number,
): R[] {
  if (moved === null || now - moved > SAID_MS) return [];
  const joined = new Set(Object.values(devices).flatMap(({ agent, rigIds }) => (agent ? [] : rigIds)));
  return rigs.filter(
    ({ rig, linked, lastUtcMs }) => joined.has(rig.id) && linked.length === 0 && (lastUtcMs ?? 0) < moved,
  );
}
