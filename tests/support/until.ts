/** Waits for a condition, not for a time: a busy machine only makes it slower. */
import { setTimeout as pause } from "node:timers/promises";

export interface Patience {
  limitMs?: number;
  everyMs?: number;
  /** What else there is to say when it was in vain. */
  told?: () => string;
}

/** Gives what was found: the first value that is neither false, null nor undefined. */
export async function until<Found>(
  what: string,
  look: () => Found | Promise<Found>,
  { limitMs = 30_000, everyMs = 15, told }: Patience = {},
): Promise<Exclude<Found, false | null | undefined>> {
  const deadline = performance.now() + limitMs;
  for (;;) {
    const found = await look();
    if (found !== false && found !== null && found !== undefined)
      return found as Exclude<Found, false | null | undefined>;
    if (performance.now() > deadline)
      throw new Error(`waited ${limitMs / 1000} s in vain until ${what}${told ? `:\n${told()}` : ""}`);
    await pause(everyMs);
  }
}
