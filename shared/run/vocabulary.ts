/** Words of reports and calls, as they stand in events. */
export const FILTER_WORDS = ["on", "off", "unknown", "capped"] as const;
export type FilterWord = (typeof FILTER_WORDS)[number];

export const SKIES = ["clear", "thin", "broken", "overcast"] as const;
export type Sky = (typeof SKIES)[number];

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
] as const;
export type FaultKind = (typeof FAULTS)[number];
