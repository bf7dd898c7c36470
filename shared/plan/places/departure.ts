/**
 * When to leave at the latest: the second contact less the drive, the set-up and a margin. Where
 * there is neither totality nor ring everything has to stand at maximum.
 */
import { type UtcMs, utcMs } from "../../time/instants.ts";
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Candidate } from "./candidate.ts";

export interface Departure {
  /** What it is counted back from. */
  anchor: "C2" | "max";
  /** The whole second before it. */
  utcMs: UtcMs;
}

/** Null where nothing of the eclipse is seen, or nobody has said how long the drive is. */
export function latestDeparture(
  gets: Pick<LocalEclipse, "contacts">,
  { driveMin, setUpMin, marginMin }: Pick<Candidate, "driveMin" | "setUpMin" | "marginMin">,
): Departure | null {
  const { c2, max } = gets.contacts;
  const at = c2 ?? max;
  if (at === null || driveMin === null) return null;
  const beforeMs = (driveMin + setUpMin + marginMin) * 60_000;
  return { anchor: c2 === null ? "max" : "C2", utcMs: utcMs(Math.floor((at - beforeMs) / 1000) * 1000) };
}
