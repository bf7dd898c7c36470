/**
 * What was seen of the contacts against what was predicted: calls by eye of the real run, and frames of
 * cameras whose clocks are known. Each with its bound and what that is made of, so that others can weigh
 * it: the Sun's radius and the Moon's limb are measured with such times.
 */
import type { ContactName } from "../../eclipse/circumstances-types.ts";
import { localEclipse } from "../../plan/local-eclipse.ts";
import type { SiteState } from "../../run/state.ts";
import { clockOf } from "../camera-clock/known-clock.ts";
import { type SeenAt, seenByCall, seenByFrames } from "./contact-seen.ts";

export interface ContactAsSeen extends SeenAt {
  contact: ContactName;
  method: "call" | "frames";
  rigId: string | null;
  camera: string | null;
  by: string;
  predictedUtcMs: number;
  /** Seen minus predicted, s: positive is later. */
  laterS: number;
}

const OF_CALL = { totality: "c2", "sun returns": "c3" } as const;

/** Whether nothing was said later of the same contact and camera. */
function isNewest(
  { contact, rigId, camera }: SiteState["contactsSeen"][number],
  at: number,
  all: SiteState["contactsSeen"],
): boolean {
  return !all
    .slice(at + 1)
    .some((one) => one.contact === contact && one.rigId === rigId && one.camera === camera);
}

/** By contact, calls first. What has no prediction here, or no known clock, is left out. */
export function contactsAsSeen(state: SiteState): ContactAsSeen[] {
  const { contacts } = localEclipse(state.circumstances);
  const against = (
    contact: ContactName,
    seen: SeenAt | null,
    rest: Pick<ContactAsSeen, "method" | "rigId" | "camera" | "by">,
  ): ContactAsSeen[] => {
    const predictedUtcMs = contacts[contact];
    if (!seen || predictedUtcMs === null) return [];
    const laterS = (seen.utcMs - predictedUtcMs) / 1000;
    return [{ contact, ...rest, ...seen, predictedUtcMs, laterS }];
  };
  const called = (state.runs[state.realRunId]?.calls ?? []).flatMap(({ call, takenBack, atRunMs, by }) =>
    call === "stay filtered" || takenBack
      ? []
      : against(OF_CALL[call], seenByCall(call, atRunMs), { method: "call", rigId: null, camera: null, by }),
  );
  const framed = state.contactsSeen.filter(isNewest).flatMap((seen) => {
    const { contact, rigId, camera, by } = seen;
    const word = state.cameraClocks.findLast((one) => one.rigId === rigId && one.camera === camera);
    const clock = word ? clockOf(word.basis, word.zoneMin) : null;
    return against(contact, clock && seenByFrames(clock, seen), { method: "frames", rigId, camera, by });
  });
  return [...called, ...framed].sort((a, b) => a.predictedUtcMs - b.predictedUtcMs);
}
