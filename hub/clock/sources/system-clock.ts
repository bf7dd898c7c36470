/**
 * The operating system's clock, with what it can say of its own state, asked every minute by
 * bounded runs of its own tools; never fails. Where nothing can be had the state is "unknown"; then,
 * as where the system says that it is not synchronised, nothing is known of its error (ledger.ts says
 * what that means). macOS has no tool that says more without administrator's rights, so it stays
 * unknown.
 */
import { execFile } from "node:child_process";
import { type HubClockPorts, readTogether, type SourceReport, type TimeSource } from "../ports.ts";
import { readChronyTracking, readTimedatectl, readW32tm, type SystemSays } from "./system-report.ts";

interface Tool {
  command: string;
  args: string[];
  read(text: string): SystemSays | null;
}
const TOOLS: Partial<Record<NodeJS.Platform, Tool[]>> = {
  linux: [
    { command: "chronyc", args: ["-n", "-c", "tracking"], read: readChronyTracking },
    { command: "timedatectl", args: ["show", "-p", "NTPSynchronized"], read: readTimedatectl },
  ],
  win32: [{ command: "w32tm", args: ["/query", "/status"], read: readW32tm }],
};
const ASK_MS = 60_000;
const PATIENCE_MS = 3000;

/** Runs a tool; its output, or null when it is absent, fails or takes too long. */
export type RunTool = (command: string, args: readonly string[], timeoutMs: number) => Promise<string | null>;

const runTool: RunTool = (command, args, timeoutMs) =>
  new Promise((resolve) => {
    execFile(
      command,
      [...args],
      {
        timeout: timeoutMs,
        killSignal: "SIGKILL",
        windowsHide: true,
        maxBuffer: 65_536,
        env: { ...process.env, LC_ALL: "C" },
      },
      (error, stdout) => resolve(error ? null : stdout),
    );
  });

export class SystemClock implements TimeSource {
  readonly id = "system";
  readonly kind = "system";
  private timer: NodeJS.Timeout | null = null;

  constructor(
    private readonly ports: HubClockPorts,
    private readonly run: RunTool = runTool,
    private readonly platform: NodeJS.Platform = process.platform,
  ) {}

  start(report: (r: SourceReport) => void): void {
    void this.ask(report);
    this.timer = setInterval(() => void this.ask(report), ASK_MS);
    this.timer.unref();
  }

  stop(): void {
    if (this.timer) clearInterval(this.timer);
    this.timer = null;
  }

  /** Asks the tools in order; reports the first that knows, else "unknown". */
  async ask(report: (r: SourceReport) => void): Promise<void> {
    for (const tool of TOOLS[this.platform] ?? []) {
      const text = await this.run(tool.command, tool.args, PATIENCE_MS);
      const says = text === null ? null : tool.read(text);
      if (!says) continue;
      const { mono, value: wall } = readTogether(this.ports.clock, () => this.ports.clock.wall());
      const { state, detail, boundMs } = says;
      const estimate = boundMs === null ? undefined : { offsetMs: wall - mono, boundMs, atMono: mono };
      report({ id: this.id, kind: this.kind, state, detail, estimate });
      return;
    }
    report({ id: this.id, kind: this.kind, state: "unknown", detail: "the system does not say" });
  }
}
