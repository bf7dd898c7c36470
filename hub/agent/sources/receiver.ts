/**
 * A satellite receiver beside the rig, by a GPS daemon on any machine: where it is, and what it says of
 * UTC. The reading is the hub's own (hub/clock/sources). Its time goes to the hub as a witness of the
 * hub's clock (S5), with its bound; its place goes to the site screen, where a lead may take it.
 */
import type { HubClockPorts, SiteFix, SourceReport } from "../../clock/ports.ts";
import { machinePorts } from "../../clock/ports.ts";
import { GpsDaemon } from "../../clock/sources/gps-daemon.ts";
import type { HostPort } from "../agent-options.ts";
import { type SetOwnClock, type Source, type SourcePorts, tellChanges } from "../source.ts";

/** A fix that lies nearer to what was said than this is the same place, m. */
const MOVED_M = 15;
const M_PER_DEG = 111_000;
/** Time not heard of for so long is not vouched for, ms. */
const STALE_MS = 20_000;

export class ReceiverSource implements Source {
  private readonly daemon: GpsDaemon;
  private readonly line: (text: string) => void;
  private said: SiteFix | null = null;
  private stale: NodeJS.Timeout | undefined;

  constructor(
    at: HostPort,
    private readonly ports: SourcePorts & { setOwnClock: SetOwnClock },
    machine: HubClockPorts = machinePorts(),
  ) {
    this.daemon = new GpsDaemon({ ports: machine, host: at.host, port: at.port });
    this.line = tellChanges((text) => ports.tell(`receiver ${at.host}:${at.port}: ${text}`));
  }

  start(): void {
    this.daemon.start((report) => this.take(report));
  }

  async stop(): Promise<void> {
    clearTimeout(this.stale);
    this.daemon.stop();
  }

  private take({ state, detail, estimate, site }: SourceReport): void {
    if (site) this.place(site);
    if (estimate) {
      this.ports.setOwnClock({ utcMinusMonoMs: estimate.offsetMs, boundMs: estimate.boundMs });
      clearTimeout(this.stale);
      this.stale = setTimeout(() => this.ports.setOwnClock(null), STALE_MS);
      this.stale.unref();
    }
    const why = /ECONNREFUSED/.test(detail) ? "nothing answers there; trying again" : detail;
    this.line(state === "good" ? `time and place (${detail})` : why);
  }

  private place(site: SiteFix): void {
    const { said } = this;
    const better = said?.errorM == null || (site.errorM !== null && site.errorM < said.errorM * 0.7);
    if (said && !better && apartM(said, site) < MOVED_M) return;
    this.said = site;
    this.ports.say("receiver", {
      receiverLatDeg: Math.round(site.latDeg * 1e5) / 1e5,
      receiverLonDeg: Math.round(site.lonDeg * 1e5) / 1e5,
      ...(site.heightM !== null &&
        site.heightM >= -500 &&
        site.heightM <= 9000 && { receiverHeightM: Math.round(site.heightM) }),
      ...(site.errorM !== null &&
        site.errorM >= 0 && { receiverErrorM: Math.min(1e7, Math.ceil(site.errorM)) }),
    });
  }
}

/** Near enough for "has it moved". */
function apartM(a: SiteFix, b: SiteFix): number {
  const north = (a.latDeg - b.latDeg) * M_PER_DEG;
  const east = (a.lonDeg - b.lonDeg) * M_PER_DEG * Math.cos((a.latDeg * Math.PI) / 180);
  return Math.hypot(north, east);
}
