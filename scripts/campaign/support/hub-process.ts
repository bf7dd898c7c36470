/**
 * A hub as a process of its own in a data folder of its own, to be killed, frozen, robbed of its
 * files and started again; on loopback only, ended by its own number only.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { fileURLToPath } from "node:url";

export const PIN = "271828";
const ROOT = fileURLToPath(new URL("../../..", import.meta.url));
const BUILT = join(ROOT, "build", "hub", "main.js");
const SOURCE = join(ROOT, "hub", "main.ts");
const START_LIMIT_MS = 90_000;
/** A restore of a small site on a busy machine takes some seconds. */
const CALL_LIMIT_MS = 60_000;

export interface Answer {
  status: number;
  body: any;
}

export interface HubProcessOptions {
  /** The built hub, or the sources through a loader (slower to start; for tests without a build). */
  program?: "built" | "sources" | readonly string[];
  args?: readonly string[];
  /** Where it keeps its data; a new temporary folder when left out. */
  dataDir?: string;
  env?: NodeJS.ProcessEnv;
}

export class HubProcess {
  readonly dataDir: string;
  url = "";
  printed = "";
  /** From starting the process to its first answer, ms. */
  startMs = 0;
  private port = 0;
  private child: ChildProcess | undefined;
  private ended: Promise<number | null> = Promise.resolve(null);
  private token: string | undefined;

  constructor(private readonly options: HubProcessOptions = {}) {
    this.dataDir = options.dataDir ?? mkdtempSync(join(tmpdir(), "noonfall-field-"));
  }

  static async start(options: HubProcessOptions = {}): Promise<HubProcess> {
    const hub = new HubProcess(options);
    await hub.start();
    return hub;
  }

  get siteDir(): string {
    return join(this.dataDir, "site");
  }

  get pid(): number {
    return this.child?.pid ?? 0;
  }

  get running(): boolean {
    return this.child !== undefined && this.child.exitCode === null && this.child.signalCode === null;
  }

  /** Rejects with what the hub printed when it ends or does not answer in time. */
  async start(more: readonly string[] = []): Promise<void> {
    this.spawn(more);
    const startedMs = performance.now();
    while (!(await this.answers())) {
      if (!this.running) throw new Error(`the hub ended with ${await this.ended}:\n${this.printed}`);
      if (performance.now() - startedMs > START_LIMIT_MS) {
        await this.kill();
        throw new Error(`the hub did not answer:\n${this.printed}`);
      }
      await pause(20);
    }
    this.startMs = performance.now() - startedMs;
  }

  /** Starts it where it is not expected to come up; gives its exit code. */
  async startAndEnd(more: readonly string[] = []): Promise<number | null> {
    this.spawn(more);
    return this.exited(START_LIMIT_MS);
  }

  /** Another hub on the same folder beside this one; gives what it printed before it ended. */
  async startAndEndAnother(): Promise<string> {
    const other = new HubProcess({ ...this.options, dataDir: this.dataDir });
    await other.startAndEnd();
    return other.printed;
  }

  private spawn(more: readonly string[]): void {
    const { program = existsSync(BUILT) ? "built" : "sources", args = [], env } = this.options;
    const loaded = program === "sources" ? ["--import", "tsx", SOURCE] : [BUILT];
    const command = typeof program === "string" ? loaded : program;
    const own = ["--port", String(this.port), "--host", "127.0.0.1", "--data", this.dataDir];
    this.printed = "";
    const child = spawn(process.execPath, [...command, ...own, "--lead-pin", PIN, ...args, ...more], {
      cwd: ROOT,
      stdio: ["ignore", "pipe", "pipe"],
      env: { ...process.env, ...env },
    });
    this.child = child;
    this.ended = new Promise((resolve) => child.once("exit", (code) => resolve(code)));
    for (const stream of [child.stdout, child.stderr]) {
      stream?.on("data", (chunk: Buffer) => {
        this.printed = (this.printed + chunk.toString()).slice(-200_000);
      });
    }
  }

  private async answers(): Promise<boolean> {
    // With port 0 the hub chooses, and says which.
    const port = /http:\/\/localhost:(\d+)\/lead/.exec(this.printed)?.[1];
    if (port) this.port = Number(port);
    if (this.port === 0) return false;
    this.url = `http://127.0.0.1:${this.port}`;
    return fetch(`${this.url}/api/health`, { signal: AbortSignal.timeout(2000) }).then(
      (answer) => answer.ok,
      () => false,
    );
  }

  /** SIGKILL: as a battery that is pulled out. */
  async kill(): Promise<void> {
    this.child?.kill("SIGKILL");
    await this.ended;
  }

  signal(name: NodeJS.Signals): void {
    this.child?.kill(name);
  }

  /** Waits for its end; kills it when that does not come. */
  async exited(withinMs = 20_000): Promise<number | null> {
    const timer = setTimeout(() => this.child?.kill("SIGKILL"), withinMs);
    const code = await this.ended;
    clearTimeout(timer);
    return code;
  }

  /** SIGTERM and the exit code. */
  async end(): Promise<number | null> {
    this.signal("SIGTERM");
    return this.exited();
  }

  async remove(): Promise<void> {
    if (this.running) await this.kill();
    rmSync(this.dataDir, { recursive: true, force: true });
  }

  /** Rejects only when nothing comes back. */
  async call(method: string, path: string, body?: unknown, token?: string): Promise<Answer> {
    const bytes = body instanceof Uint8Array;
    const response = await fetch(`${this.url}${path}`, {
      method,
      headers: {
        ...(body !== undefined && { "Content-Type": bytes ? "application/vnd.sqlite3" : "application/json" }),
        ...(token && { Authorization: `Bearer ${token}` }),
      },
      ...(body !== undefined && { body: bytes ? (body as Uint8Array<ArrayBuffer>) : JSON.stringify(body) }),
      signal: AbortSignal.timeout(CALL_LIMIT_MS),
    });
    const text = await response.text();
    try {
      return { status: response.status, body: JSON.parse(text) };
    } catch {
      return { status: response.status, body: text };
    }
  }

  /** A lead's session, made at the first use. */
  async lead(): Promise<string> {
    this.token ??= (await this.call("POST", "/api/lead/session", { pin: PIN })).body.token as string;
    return this.token;
  }

  /** After another site came in: its sessions are not ours. */
  forgetLead(): void {
    this.token = undefined;
  }

  async asLead(method: string, path: string, body?: unknown): Promise<Answer> {
    return this.call(method, path, body, await this.lead());
  }

  async download(path: string): Promise<Buffer> {
    const response = await fetch(`${this.url}${path}`, {
      headers: { Authorization: `Bearer ${await this.lead()}` },
    });
    if (!response.ok) throw new Error(`${path}: ${response.status} ${await response.text()}`);
    return Buffer.from(await response.arrayBuffer());
  }

  async rigToken(rigId: string): Promise<string> {
    return (await this.asLead("GET", `/api/rigs/${rigId}/link`)).body.token as string;
  }
}

/** An invented site on the path of 2027-08-02. */
export const FIELD_PLAN = {
  group: "Meridian Field Group",
  eclipse: "2027-08-02",
  site: { name: "Palm Field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 },
  rigs: [
    { id: "west", name: "West telescope", kind: "tracked-telescope", operator: "Ada", focalLengthMm: 480 },
    { id: "wide", name: "Horizon camera", kind: "wide-camera", filter: "none by design", focalLengthMm: 14 },
  ],
};

export async function planField(hub: HubProcess, plan: unknown = FIELD_PLAN): Promise<void> {
  const answer = await hub.asLead("PUT", "/api/plan", { ...(plan as object), revision: 0 });
  if (answer.status !== 200) throw new Error(`the plan was not taken: ${JSON.stringify(answer.body)}`);
}
