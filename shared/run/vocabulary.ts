/** Words of reports and calls, as they stand in events. */
export const FILTER_WORDS = ["on", "off", "unknown", "capped"] as const;
export type FilterWord = (typeof FILTER_WORDS)[number];

export const SKIES = ["clear", "thin", "broken", "overcast"] as const;
export type Sky = (typeof SKIES)[number];

/** How a rig answers a roll call: ready, or what is lacking. */
export const READINESS = ["ready", "focus", "power", "storage", "hands", "other"] as const;

/**
 * What a lead says to an alert.
 *
 * seen      read, and nothing else
 * taken     "I'm coming": one lead, or whom that lead sends
 * left      somebody else may take it
 * shelved   not now, for a stated time; never danger, nor what eyes hang on
 * back      shelved no more
 */
export const ALERT_ANSWERS = ["seen", "taken", "left", "shelved", "back"] as const;
export type AlertAnswer = (typeof ALERT_ANSWERS)[number];

/** Calls by eye (S6). */
export const CALLS = ["totality", "sun returns", "stay filtered"] as const;
export type CallName = (typeof CALLS)[number];

/** What may be thrown into a practice run. */
export const FAULTS = [
  "hub gone",
  "phone reload",
  "cloud",
  "card full",
  "operator missing",
  "contact early",
  "clock stepped",
] as const;
export type FaultKind = (typeof FAULTS)[number];
