/**
 * How grave an alert is; the worst first.
 *
 * danger   eyes or sensors are at stake now (S1, S5 before C2, S9)
 * caution  it will go wrong if nobody acts
 * advice   worth a look while there is time
 */
export const PRIORITIES = ["danger", "caution", "advice"] as const;
export type AlertPriority = (typeof PRIORITIES)[number];

/** 0 for the worst. */
export function rankOf(priority: AlertPriority): number {
  return PRIORITIES.indexOf(priority);
}

/** For sorting: the worst first. */
export function worstFirst(a: { priority: AlertPriority }, b: { priority: AlertPriority }): number {
  return rankOf(a.priority) - rankOf(b.priority);
}
