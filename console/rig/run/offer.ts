/**
 * What the lower half of the run screen offers to press, one thing: the confirm of what makes safe
 * before any question; a question about a filter; "I see totality"; any other confirm; nothing.
 * Button and keys both stand for it. Pure.
 */
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import { ownFilter } from "./own-filter.ts";
import type { RigScene } from "./rig-scene.ts";
import type { CueLine } from "./run-picture.ts";

type Offer =
  | { kind: "confirm"; line: CueLine }
  | { kind: "question"; status: RigStatus }
  | { kind: "totality"; rigIds: readonly string[] }
  | { kind: "none" };

/** `asking`: the rig whose filter the operator wants to speak of. */
export function offerOf({ picture, rigs }: RigScene, asking: string | null = null): Offer {
  const { instruction, due, confirm, askTotality } = picture;
  const action = instruction?.cue.action;
  const asked = rigs.find((one) => one.rig.id === asking);
  if (asked) return { kind: "question", status: asked };
  // What makes safe is not held up by a question that nobody asked for.
  const urgent = due && (action === "filter-on" || action === "eyes-away");
  if (!urgent) {
    const status = rigs.find((one) => one.verdict.disputedBy.length > 0 || ownFilter(one) === "unknown");
    if (status) return { kind: "question", status };
    if (askTotality.length > 0) return { kind: "totality", rigIds: askTotality };
  }
  return confirm ? { kind: "confirm", line: confirm } : { kind: "none" };
}
