/** What has changed between two states of the site, as far as pictures of its rigs hang on it. Pure. */
import { ownValue } from "../../../shared/fields/own-key.ts";
import type { SiteState } from "../../../shared/run/state.ts";

/** Parts of the state on which no picture of a rig hangs, or that are looked at by themselves. */
const NOT_OF_RIGS: ReadonlySet<string> = new Set(["seq", "runs", "messages", "alerts", "roll"]);

/** Rigs of which something else is known now; null where more than that has changed. */
export function reportedSince(old: SiteState, state: SiteState): Set<string> | null {
  if (!Object.keys(state).every((key) => NOT_OF_RIGS.has(key) || isSame(state, old, key))) return null;
  const reported = new Set<string>();
  for (const run of Object.values(state.runs)) {
    const known = ownValue(old.runs, run.runId);
    if (known === run) continue;
    if (!known || !Object.keys(run).every((key) => key === "rigs" || isSame(run, known, key))) return null;
    for (const [rigId, record] of Object.entries(run.rigs))
      if (ownValue(known.rigs, rigId) !== record) reported.add(rigId);
  }
  return reported;
}

function isSame<Thing extends object>(a: Thing, b: Thing, key: string): boolean {
  return a[key as keyof Thing] === b[key as keyof Thing];
}
