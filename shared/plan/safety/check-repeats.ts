/**
 * Whether a rig's cues come too often. A repeat that would be cut short without a word is refused
 * while somebody can still change it: whoever plans "every 5 s until C4" must learn now, not on the
 * field, that a phone follows a cue OCCURRENCES_MOST times and no more.
 */
import { OCCURRENCES_MOST, occurrencesWanted, RIG_OCCURRENCES_MOST } from "../cue-times.ts";
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Rig } from "../model/plan.ts";
import { type Finding, finding } from "./finding.ts";

/** Cues that are switched off do not come, and do not count. */
export function checkRepeats(rig: Rig, rigIndex: number, gets: LocalEclipse): Finding[] {
  const counted = rig.cues
    .map((cue, index) => ({ cue, index, count: cue.on ? occurrencesWanted(cue, gets.contacts) : 0 }))
    .filter(({ count }) => count > 0);
  const spot = ({ cue, index }: (typeof counted)[number]) => ({
    rig,
    rigIndex,
    cue: { id: cue.id, index },
    at: "repeat.everyS",
  });
  const found = counted
    .filter(({ count }) => count > OCCURRENCES_MOST)
    .map((one) => {
      const data = { id: one.cue.id, count: one.count, most: OCCURRENCES_MOST };
      return finding("plan", "too-many-repeats", spot(one), data);
    });
  if (found.length > 0) return found;

  const inAll = counted.reduce((sum, { count }) => sum + count, 0);
  if (inAll <= RIG_OCCURRENCES_MOST) return [];
  // Of all of them the one that comes most often is the one to space out.
  const [worst] = [...counted].sort((a, b) => b.count - a.count);
  if (worst === undefined) return [];
  const data = { id: worst.cue.id, count: inAll, most: RIG_OCCURRENCES_MOST };
  return [finding("plan", "too-many-repeats-in-all", spot(worst), data)];
}
