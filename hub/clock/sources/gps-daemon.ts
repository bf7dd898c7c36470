/** A GPS daemon on TCP (port 2947): connects, watches, reconnects. Its site goes along with its time. */
import { connect, type Socket } from "node:net";
import { monoMs } from "../../../shared/time/instants.ts";
import {
  type HubClockPorts,
  readTogether,
  type SiteFix,
  type SourceReport,
  type SourceState,
  type TimeSource,
} from "../ports.ts";
import { GpsEstimator } from "./gps-estimate.ts";
import { readGpsLine } from "./gps-json.ts";

interface GpsDaemonOptions {
  ports: HubClockPorts;
  host?: string;
  port?: number;
  /** Time between attempts, first and greatest, ms. */
  retryMs?: readonly [number, number];
}

const WATCH = '?WATCH={"enable":true,"json":true,"pps":true};\n';
const SILENT_MS = 15_000;
const LONGEST_LINE = 65_536;

export class GpsDaemon implements TimeSource {
  readonly id = "gps";
  readonly kind = "gps";
  private readonly estimator = new GpsEstimator();
  private socket: Socket | null = null;
  private timer: NodeJS.Timeout | null = null;
  private running = false;
  private retryMs: number;
  private site: SiteFix | undefined;

  constructor(private readonly options: GpsDaemonOptions) {
    this.retryMs = options.retryMs?.[0] ?? 2000;
  }

  start(report: (r: SourceReport) => void): void {
    this.running = true;
    this.open(report);
  }

  stop(): void {
    this.running = false;
    if (this.timer) clearTimeout(this.timer);
    this.socket?.destroy();
    this.socket = null;
  }

  machineSlept(): void {
    this.estimator.clear();
  }

  private open(report: (r: SourceReport) => void): void {
    const { host = "127.0.0.1", port = 2947 } = this.options;
    const socket = connect({ host, port });
    this.socket = socket;
    socket.setTimeout(SILENT_MS, () => socket.destroy(new Error("silent")));
    socket.setEncoding("utf8");
    let rest = "";
    let why = "closed";
    socket.on("connect", () => {
      socket.write(WATCH);
      this.say(report, "waiting", `connected to ${host}:${port}`);
    });
    socket.on("data", (chunk: string) => {
      const lines = (rest + chunk).split("\n");
      rest = lines.pop() ?? "";
      if (rest.length > LONGEST_LINE) socket.destroy(new Error("a line without end"));
      for (const line of lines) this.take(line, report);
    });
    socket.on("error", (e) => {
      why = e.message;
    });
    socket.on("close", () => {
      if (!this.running || this.socket !== socket) return;
      this.say(report, "unreachable", `${host}:${port}: ${why}`);
      this.timer = setTimeout(() => this.open(report), this.retryMs);
      this.timer.unref();
      this.retryMs = Math.min(this.options.retryMs?.[1] ?? 30_000, this.retryMs * 2);
    });
  }

  private take(line: string, report: (r: SourceReport) => void): void {
    const message = readGpsLine(line);
    if (!message) return;
    this.retryMs = this.options.retryMs?.[0] ?? 2000;
    const { clock } = this.options.ports;
    const { mono, value: wall } = readTogether(clock, () => clock.wall());
    const wallMinusMono = wall - mono;
    if (message.kind === "pulse")
      this.estimator.addPulse(message.offsetMs + wallMinusMono, message.boundMs, mono);
    else if (message.kind === "lateness") this.estimator.addMessage(message.offsetMs + wallMinusMono, mono);
    else if (message.kind === "fix") {
      this.estimator.addMessage(message.utcMs - mono, monoMs(mono));
      if (message.site) this.site = message.site;
    } else if (message.kind === "noFix") {
      this.say(report, "noFix", "no fix yet");
      return;
    } else return;
    const estimate = this.estimator.estimate(mono);
    if (!estimate) return;
    const { by, ...rest } = estimate;
    const detail = by === "pulse" ? "pulse per second" : "messages only, no pulse";
    report({ id: this.id, kind: this.kind, state: "good", detail, estimate: rest, site: this.site });
  }

  private say(report: (r: SourceReport) => void, state: SourceState, detail: string): void {
    report({ id: this.id, kind: this.kind, state, detail, site: this.site });
  }
}
