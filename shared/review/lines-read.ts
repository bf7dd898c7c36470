/**
 * Alerts as a person reads them. One cause that comes to many rigs at once is one line on the console
 * (twelve rigs that no phone has joined, an access point gone), and counts once; what stands alone for
 * each rig (danger of one, a call for help) counts each time.
 */
import { ownValue } from "../fields/own-key.ts";
import type { RigAlert } from "../run/alerts/alert-entry.ts";
import { RIG_ALERTS } from "../run/alerts/rig-alerts.ts";
import type { AlertChange } from "../run/events.ts";

/** What comes to several rigs within so long is read as one, ms. Common practice, no source. */
const TOGETHER_MS = 10_000;

export class LinesRead {
  private readonly begun = new Map<string, number>();

  /** Whether an alert that was raised at that instant is one more to read. Asked in the order of the log. */
  isNew({ cause, priority }: Pick<AlertChange, "cause" | "priority">, atUtcMs: number): boolean {
    if (ownValue<RigAlert>(RIG_ALERTS, cause)?.alone) return true;
    const line = `${cause} ${priority}`;
    if (atUtcMs - (this.begun.get(line) ?? Number.NEGATIVE_INFINITY) < TOGETHER_MS) return false;
    this.begun.set(line, atUtcMs);
    return true;
  }
}
