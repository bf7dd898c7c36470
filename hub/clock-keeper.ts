/**
 * The hub's clock with its sources on this machine, kept over restarts, its changes logged, and
 * the machine kept awake. Which network servers to ask is a setting of the lead's.
 */

import type { SiteState } from "../shared/run/state.ts";
import { utcMs } from "../shared/time/instants.ts";
import { HubClock } from "./clock/hub-clock.ts";
import type { SavedHubClock } from "./clock/hub-clock-status.ts";
import { SleepInhibitor } from "./clock/inhibit-sleep.ts";
import { machinePorts } from "./clock/ports.ts";
import { GpsDaemon } from "./clock/sources/gps-daemon.ts";
import { NetworkTime } from "./clock/sources/network-time.ts";
import { SystemClock } from "./clock/sources/system-clock.ts";
import type { EventLog } from "./log/event-log.ts";
import { newId } from "./new-id.ts";
import { isNearEclipse } from "./site/run-on.ts";
import type { SiteKeeper } from "./site/site-keeper.ts";

/** Setting: hosts of network time servers, ["time.example.org"]. */
export const DEFAULT_SERVERS_KEY = "clockServers";
const SAVE_MS = 30_000;
/** A real run, for the clock, is from this long before C1 to this long after C4. */
const AROUND_MS = 3_600_000;

export class HubClockKeeper {
  readonly clock: HubClock;
  readonly inhibitor = new SleepInhibitor();
  private timer: NodeJS.Timeout | undefined;

  constructor(
    private readonly log: EventLog,
    private readonly state: () => SiteState | undefined,
  ) {
    const ports = machinePorts();
    this.clock = new HubClock({
      ports,
      epoch: newId(),
      sources: [
        new SystemClock(ports),
        new GpsDaemon({ ports }),
        ...this.servers().map((host) => new NetworkTime({ ports, host })),
      ],
      inRealRun: () => this.inRealRun(),
      saved: log.getSetting("clock") as SavedHubClock | undefined,
    });
  }

  servers(): string[] {
    const saved = this.log.getSetting(DEFAULT_SERVERS_KEY);
    return Array.isArray(saved) ? saved.filter((host): host is string => typeof host === "string") : [];
  }

  setServers(hosts: readonly string[]): void {
    this.log.setSetting(DEFAULT_SERVERS_KEY, [...hosts]);
  }

  /** Starts the sources; resolves with why sleep cannot be held off, if so. */
  async start(site: Pick<SiteKeeper, "note">): Promise<string | undefined> {
    this.clock.on("log", ({ type, data }) => {
      void site.note("clockNoted", { note: type, detail: { ...data } });
      // A device set aside whose clock was set counts again by itself.
      if (type === "witnessCounted") this.save();
    });
    // What a restart in the next half minute must not forget.
    this.clock.on("sleep", () => this.save());
    this.clock.on("step", () => this.save());
    this.clock.start();
    this.timer = setInterval(() => this.save(), SAVE_MS);
    this.timer.unref();
    const { state, detail } = await this.inhibitor.start();
    return state === "held" ? undefined : detail;
  }

  save(): void {
    try {
      this.log.setSetting("clock", this.clock.save());
    } catch {
      // A full disk is told where reports fail; the clock goes on without.
    }
  }

  stop(): void {
    clearInterval(this.timer);
    this.inhibitor.stop();
    this.clock.stop();
  }

  /** From an hour before C1 to an hour after C4. */
  inRealRun(): boolean {
    const now = this.clock?.now() ?? utcMs(0);
    return isNearEclipse(this.state()?.circumstances ?? null, AROUND_MS, AROUND_MS, now);
  }
}
