/**
 * The copy of the site's state on a device: the hub's events folded in order, with the device's
 * own queued facts laid over it, so that a tap shows at once and survives without the hub.
 */

import type { SiteEvent } from "../run/events.ts";
import { evolve } from "../run/evolve.ts";
import { decideFact } from "../run/facts/decide-fact.ts";
import type { Fact } from "../run/orders/commands.ts";
import { EMPTY_STATE, type SiteState } from "../run/state.ts";
import type { UtcMs } from "../time/instants.ts";
import type { QueuedFact } from "./session-types.ts";

export class Replica {
  base: SiteState | null = null;
  /** Of the log that `base` is folded from. */
  epoch: string | null = null;
  private coming: string | null = null;
  /** An event came that could not be folded. */
  private unreadable = false;

  load(epoch: string | null, state: SiteState | null): void {
    this.epoch = epoch;
    this.coming = epoch;
    this.base = state;
  }

  /**
   * A hub lets this device read its log. What is known of another one stands until the hub has
   * sent its state.
   */
  meet(epoch: string): void {
    this.coming = epoch;
    if (!this.base) this.epoch = epoch;
  }

  /** Whether what is held is of the log that is being read. */
  get current(): boolean {
    return this.epoch === this.coming;
  }

  replace(state: SiteState): void {
    this.base = state;
    this.epoch = this.coming;
    this.unreadable = false;
  }

  /**
   * Folds events in. False when some are missing and must be asked for, after `seq`; or when one of
   * them is of a form that this program cannot fold: then the whole state is what can help.
   */
  apply(events: readonly SiteEvent[]): boolean {
    if (!this.current) return false;
    for (const event of events) {
      const state = this.base ?? (event.seq === 1 ? EMPTY_STATE : null);
      if (!state) return false;
      if (event.seq <= state.seq) continue;
      if (event.seq !== state.seq + 1) return false;
      try {
        this.base = evolve(state, event);
      } catch {
        this.unreadable = true;
        return false;
      }
    }
    return true;
  }

  /** What to ask the hub for when something is missing: events after this, -1 for the whole state. */
  get seq(): number {
    return this.current && !this.unreadable ? (this.base?.seq ?? 0) : -1;
  }

  /** The state with queued facts laid over it; null before any is known. */
  withQueued(queued: readonly QueuedFact[], deviceId: string, now: UtcMs): SiteState | null {
    if (!this.base || queued.length === 0) return this.base;
    let state = this.base;
    for (const item of queued) state = evolve(state, asEvent(state, item, deviceId, now));
    return { ...state, seq: this.base.seq };
  }

  /** Takes in what the hub has accepted from a device that is told of no events any more. */
  keep(item: QueuedFact, deviceId: string, now: UtcMs): void {
    this.base = this.withQueued([item], deviceId, now);
  }
}

function asEvent(
  state: SiteState,
  item: { id: string; fact: Fact },
  deviceId: string,
  now: UtcMs,
): SiteEvent {
  const draft = decideFact(state, item.fact, {
    actor: `rig:${item.fact.rigId}`,
    commandId: item.id,
    deviceId,
    now,
    linkRevoked: false,
  });
  return { ...draft, seq: state.seq, loggedUtcMs: now } as SiteEvent;
}
