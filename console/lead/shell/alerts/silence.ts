/**
 * Which dangers are heard on this console. A lead may silence those that stand for a stated time; a
 * danger that comes after that is heard all the same, and so is one that has worsened anew. Pure.
 */
import type { Alert } from "../../../../shared/run/alerts/alerts.ts";

/** How long a silence lasts, ms. Common practice, no source. */
export const SILENCE_MS = 2 * 60_000;
/** An order of a lead is heard this long and not until it is released, ms. */
const ORDER_MS = 10_000;

export interface Silence {
  untilUtcMs: number;
  /** Which dangers are silent, each with since when it stood. */
  marks: readonly string[];
}

type Danger = Pick<Alert, "id" | "cause" | "priority" | "sinceUtcMs">;

/** Danger that is to be heard now. */
export function heardOf<A extends Danger>(alerts: readonly A[], silence: Silence | null, now: number): A[] {
  const silent = silence && now < silence.untilUtcMs ? silence.marks : [];
  return alerts.filter(
    (alert) =>
      alert.priority === "danger" &&
      !silent.includes(markOf(alert)) &&
      !(alert.cause === "cover-latched" && now - alert.sinceUtcMs > ORDER_MS),
  );
}

/** Silences what stands at this instant. */
export function silenceFor(alerts: readonly Danger[], now: number): Silence {
  return {
    untilUtcMs: now + SILENCE_MS,
    marks: alerts.filter(({ priority }) => priority === "danger").map(markOf),
  };
}

function markOf({ id, sinceUtcMs }: Danger): string {
  return `${id} ${sinceUtcMs}`;
}
