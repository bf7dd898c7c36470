/**
 * Whether a rig is covered since an order to cover every lens (S7): somebody has said so after it. A
 * word from before may be old, so that whoever stands there looks once more. Of a rig without a filter
 * by design it is said by a word of its own: its cap is off again after the release, and nothing of it
 * may count as capped then (S12). Under the real Sun nobody who only plays a rig has covered it (S8).
 */
import { isPlayed } from "../facts/played.ts";
import type { RigStatus } from "./rig-status.ts";

export function isCoveredSince(
  { rig, verdict, covered, touchOnly }: Pick<RigStatus, "rig" | "verdict" | "covered" | "touchOnly">,
  sinceUtcMs: number | null,
): boolean {
  if (sinceUtcMs === null) return false;
  const { state, word } = verdict;
  const said =
    rig.filter !== "none by design"
      ? (state === "on" || state === "capped") && word
      : covered?.value && covered;
  return !!said && said.observedUtcMs >= sinceUtcMs && !(touchOnly && isPlayed(said.deviceId));
}
