/**
 * Looks at the state a few times a second, keeps which alerts stand and since when, and logs
 * every change. What an alert is, shared/run/alerts/rig-alerts.ts and its neighbours say.
 */

import { ownValue } from "../../shared/fields/own-key.ts";
import type { Plan } from "../../shared/plan/model/plan.ts";
import {
  type Alert,
  alertsOf,
  lasting,
  trackAlerts,
  withHubTrouble,
} from "../../shared/run/alerts/alerts.ts";
import { stoodBefore } from "../../shared/run/alerts/answerable.ts";
import { type ClockHealth, DOUBT_BOUND_MS } from "../../shared/run/doubt.ts";
import { type RunView, viewRun, viewRunAgain } from "../../shared/run/views/run-view.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { HubClock } from "../clock/hub-clock.ts";
import type { HubHealth } from "../log/hub-health.ts";
import type { PresenceBook } from "./presence.ts";
import type { SiteKeeper } from "./site-keeper.ts";

const LOOK_MS = 500;
/** Many reports at one time are looked at together, ms. */
const TOGETHER_MS = 100;
/** The clock's health is asked for at every probe and changes slowly, ms. */
const HEALTH_MS = 250;

export class AlertDesk {
  private alerts: readonly Alert[];
  /** Since when what may pass by itself has been seen. */
  private heldBack: ReadonlyMap<string, UtcMs> = new Map();
  private readonly listeners: ((alerts: readonly Alert[]) => void)[] = [];
  private readonly timer: NodeJS.Timeout;
  private soon: NodeJS.Timeout | undefined;
  private checkedAt = 0;
  private lastBug = "";
  /** The last look; rigs that have reported since, or null when everything is to be looked at anew. */
  private last: { plan: Plan; view: RunView } | undefined;
  private reported: Set<string> | null = null;
  private clockKnown: { at: number; value: ClockHealth } | undefined;

  constructor(
    private readonly keeper: SiteKeeper,
    private readonly presence: PresenceBook,
    private readonly clock: HubClock,
    private readonly health: HubHealth,
    /** A bug in looking: told; the next look comes all the same. */
    private readonly onBug: (error: unknown) => void,
  ) {
    this.alerts = stoodBefore(keeper.state);
    this.timer = setInterval(() => this.check(), LOOK_MS);
    health.onChange(() => this.checkSoon());
    keeper.on("events", (events, { alerts: known }) => {
      // What a practice raised has ended with it: what still stands is raised anew.
      if (events.some(({ type }) => type === "practiceEnded"))
        this.alerts = this.alerts.filter(({ id }) => ownValue(known, id));
      // Its own notes change nothing that alerts depend on.
      const others = events.filter(({ type }) => type !== "alertRaised" && type !== "alertCleared");
      if (others.length === 0) return;
      for (const event of others) {
        if (event.type === "rigReported") this.reported?.add(event.payload.rigId);
        else this.reported = null;
      }
      this.checkSoon();
    });
  }

  standing(): readonly Alert[] {
    return this.alerts;
  }

  clockHealth(): ClockHealth {
    const at = performance.now();
    if (!this.clockKnown || at - this.clockKnown.at > HEALTH_MS)
      this.clockKnown = { at, value: clockHealthOf(this.clock) };
    return this.clockKnown.value;
  }

  onChange(listener: (alerts: readonly Alert[]) => void): void {
    this.listeners.push(listener);
  }

  /**
   * At once when the last look is a while ago, else a little later. A look at all rigs is a turn of the
   * loop by itself: it comes after a save, which has just been written and told in this one.
   */
  private checkSoon(): void {
    if (this.soon) return;
    const wait = this.checkedAt + TOGETHER_MS - performance.now();
    if (wait <= 0 && this.reported) this.checkReported();
    else this.soon = setTimeout(() => this.checkReported(), Math.max(0, wait));
  }

  /** Looks at everything, and gives what it saw; undefined where a bug kept it from that. */
  check(): RunView | undefined {
    this.reported = null;
    return this.checkReported();
  }

  /** Looks at what has changed since; what only time changes waits for the next look at everything. */
  private checkReported(): RunView | undefined {
    clearTimeout(this.soon);
    this.soon = undefined;
    this.checkedAt = performance.now();
    try {
      return this.look();
    } catch (error) {
      // The same bug at every look is told once.
      if (String(error) !== this.lastBug) this.onBug(error);
      this.lastBug = String(error);
      return undefined;
    }
  }

  private look(): RunView {
    const now = this.clock.now();
    this.keeper.endOverduePractice();
    this.keeper.logCover();
    const [state, presence, clock] = [this.keeper.state, this.presence.get(), this.clockHealth()];
    const { last, reported } = this;
    const view =
      last && reported
        ? viewRunAgain(last, reported, state, presence, clock, now)
        : viewRun(state, presence, clock, now);
    this.last = { plan: state.plan, view };
    this.reported = new Set();
    const standing = withHubTrouble(alertsOf(state, view, clock), this.health.standing());
    const { told, seen } = lasting(standing, this.alerts, this.heldBack, now);
    this.heldBack = seen;
    const { alerts, raised, cleared } = trackAlerts(this.alerts, told, now);
    if (raised.length === 0 && cleared.length === 0) return view;
    this.alerts = alerts;
    for (const alert of raised) void this.keeper.note("alertRaised", { ...alert });
    for (const alert of cleared) void this.keeper.note("alertCleared", { ...alert });
    for (const listener of this.listeners) listener(alerts);
    return view;
  }

  close(): void {
    clearInterval(this.timer);
    clearTimeout(this.soon);
  }
}

/** What the hub's clock means for S5. */
export function clockHealthOf(clock: HubClock): ClockHealth {
  const { boundMs, apartMs, dispute, step, slept } = clock.status();
  return {
    boundMs: 0,
    hubBoundMs: boundMs,
    // Sources that exclude each other, and a step nobody has judged, are doubts below a second, too.
    disputed: apartMs > DOUBT_BOUND_MS || dispute !== null || step !== null,
    stepped: step !== null,
    slept: slept !== null,
    apartMs,
  };
}
