/**
 * The link of a rig: `/rig#<rigId>.<token>`, several joined by `&`. It stands in the fragment, so
 * that it is in no server's log. Pure.
 */
import { RIG_LINK_PART } from "../../../shared/link/rig-link.ts";
import type { RigLink } from "../../../shared/link/session-types.ts";

export interface FragmentReading {
  rigs: RigLink[];
  /** Parts that are no link; shown, since somebody typed or scanned them. */
  bad: string[];
}

/** Reads a fragment with or without its "#". Never throws. */
export function readFragment(fragment: string): FragmentReading {
  const rigs = new Map<string, RigLink>();
  const bad: string[] = [];
  for (const part of fragment.replace(/^#/, "").split("&")) {
    if (part === "") continue;
    const found = RIG_LINK_PART.exec(part);
    if (found?.[1] && found[2]) rigs.set(found[1], { id: found[1], token: found[2] });
    else bad.push(part.slice(0, 60));
  }
  return { rigs: [...rigs.values()], bad };
}

/**
 * What is kept plus what was scanned now. A newer token of a rig comes before the one that is kept,
 * and does not replace it until a hub has taken it (shared/link/admission.ts).
 */
export function mergeRigs(kept: readonly RigLink[], scanned: readonly RigLink[]): RigLink[] {
  const merged = new Map(kept.map((rig) => [rig.id, rig]));
  for (const { id, token } of scanned) {
    const held = merged.get(id);
    if (!held) merged.set(id, { id, token });
    // Of several that no hub has taken yet the newest is kept, beside the one that was there first.
    else if (token !== held.token && token !== held.former)
      merged.set(id, { id, token, former: held.former ?? held.token });
  }
  return [...merged.values()];
}

/** What is kept, with the links that a hub has settled since; one scanned anew meanwhile stays. */
export function settledRigs(
  kept: readonly RigLink[],
  before: readonly RigLink[],
  after: readonly RigLink[],
): RigLink[] {
  return kept.map((rig) =>
    before.some(({ id, token, former }) => id === rig.id && token === rig.token && former === rig.former)
      ? (after.find(({ id }) => id === rig.id) ?? rig)
      : rig,
  );
}

/** Whether a stored value is a list of joined rigs; anything else counts as none. */
export function keptRigs(value: unknown): RigLink[] {
  if (!Array.isArray(value)) return [];
  return value.filter(
    (item): item is RigLink =>
      typeof item === "object" &&
      item !== null &&
      typeof (item as RigLink).id === "string" &&
      typeof (item as RigLink).token === "string" &&
      ["string", "undefined"].includes(typeof (item as RigLink).former),
  );
}

/** Of the links that were left, those of rigs of which reports still wait and that were not joined again. */
export function stillLeft(
  left: readonly RigLink[],
  joined: readonly RigLink[],
  waitingRigIds: readonly string[],
): RigLink[] {
  return left.filter(({ id }) => waitingRigIds.includes(id) && !joined.some((rig) => rig.id === id));
}
