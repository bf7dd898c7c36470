/**
 * Keeps the laptop awake while the hub runs, by the system's own means: systemd-inhibit on Linux,
 * caffeinate on macOS. Windows has no such command, only a call (SetThreadExecutionState) for which
 * no kept library was found, so it says that it cannot; so does a Linux without systemd-logind.
 * The lead is then told to switch sleep off by hand. A closed lid may still send a laptop to sleep.
 */
import { type ChildProcess, spawn } from "node:child_process";

interface SleepInhibition {
  state: "held" | "cannot" | "off";
  /** By what, or why not; English, technical. */
  detail: string;
}

/** A command that has not ended by then holds. */
const SETTLE_MS = 1500;

interface InhibitCommand {
  command: string;
  args: string[];
}

/** Commands that hold sleep off as long as they run, best first; empty where there is none. */
export function inhibitCommands(platform: NodeJS.Platform, pid: number): InhibitCommand[] {
  // both end by themselves when the hub is gone
  if (platform === "linux")
    // taking the lid too may need a right the user lacks
    return ["sleep:idle:handle-lid-switch", "sleep:idle"].map((what) => ({
      command: "systemd-inhibit",
      args: [
        `--what=${what}`,
        "--who=Noonfall",
        "--why=The site's clock runs on this computer",
        "--mode=block",
        "sh",
        "-c",
        `while kill -0 ${pid} 2>/dev/null; do sleep 5; done`,
      ],
    }));
  if (platform === "darwin") return [{ command: "caffeinate", args: ["-i", "-s", "-m", "-w", String(pid)] }];
  return [];
}

export class SleepInhibitor {
  private child: ChildProcess | null = null;
  private now: SleepInhibition = { state: "off", detail: "" };

  constructor(private readonly commands = inhibitCommands(process.platform, process.pid)) {}

  state(): SleepInhibition {
    return this.now;
  }

  /** Resolves when it is known whether sleep is held off; never rejects. */
  async start(): Promise<SleepInhibition> {
    this.now = { state: "cannot", detail: `no command for it on ${process.platform}` };
    for (const command of this.commands) {
      this.now = await this.hold(command);
      if (this.now.state === "held") break;
    }
    return this.now;
  }

  stop(): void {
    const child = this.child;
    this.child = null;
    this.now = { state: "off", detail: "" };
    if (child?.pid === undefined) return;
    try {
      process.kill(-child.pid, "SIGTERM");
    } catch {
      // has ended
    }
  }

  private hold({ command, args }: InhibitCommand): Promise<SleepInhibition> {
    return new Promise((resolve) => {
      const child = spawn(command, args, { stdio: ["ignore", "ignore", "pipe"], detached: true });
      this.child = child;
      let said = "";
      const lost = (detail: string) => {
        clearTimeout(timer);
        if (this.child === child) {
          this.child = null;
          this.now = { state: "cannot", detail };
        }
        resolve({ state: "cannot", detail });
      };
      const timer = setTimeout(() => resolve({ state: "held", detail: command }), SETTLE_MS);
      child.stderr.on("data", (d) => {
        said = (said + String(d)).slice(0, 300);
      });
      child.on("error", (e) => lost(`${command}: ${e.message}`));
      child.on("exit", (code) => lost(`${command} ended (${code}) ${said.trim()}`.trim()));
      child.unref();
      (child.stderr as unknown as { unref(): void }).unref();
    });
  }
}
