/** Alpaca devices beside a rig: servers are found again and again, and each one's devices asked once a second. */
import type { HostPort } from "../agent-options.ts";
import { type Source, type SourcePorts, tellChanges } from "../source.ts";
import { discoverAlpaca } from "./alpaca-discovery.ts";
import { ALPACA_TYPES } from "./alpaca-reading.ts";
import { AlpacaTrouble, alpacaGet } from "./alpaca-web.ts";

const POLL_MS = 1000;
const RETRY_MS = 15_000;
const DEVICES_MOST = 32;
const SERVERS_MOST = 32;
/** Of so many servers and devices it is remembered what was told last. */
const LINES_MOST = 200;

export interface AlpacaDevice {
  type: string;
  number: number;
  name: string;
  /** Its own wherever it is found: a server on this machine answers under two addresses. */
  voice: string;
}

export class AlpacaSource implements Source {
  private stopped = false;
  private readonly waiting = new Set<() => void>();
  private readonly lines = new Map<string, (text: string) => void>();
  /** Servers that are being read, each by itself: a slow one holds nobody up. */
  private readonly serving = new Map<string, Promise<void>>();
  private working: Promise<void> = Promise.resolve();

  constructor(
    private readonly at: "auto" | HostPort,
    private readonly ports: SourcePorts,
    private readonly discover: () => Promise<HostPort[]> = discoverAlpaca,
    private readonly pollMs = POLL_MS,
    private readonly retryMs = RETRY_MS,
  ) {}

  start(): void {
    this.working = this.run().catch((error: unknown) => this.line("Alpaca", String(error)));
  }

  async stop(): Promise<void> {
    this.stopped = true;
    for (const wake of this.waiting) wake();
    await this.working;
    await Promise.all(this.serving.values());
  }

  /** Who is there now is read until it fails; then, and in any case now and then, it is looked again. */
  private async run(): Promise<void> {
    while (!this.stopped) {
      const found = this.at === "auto" ? await this.discover() : [this.at];
      if (found.length === 0 && this.serving.size === 0)
        this.line("Alpaca", "nothing answers in this network; asking again");
      for (const at of found) {
        const name = nameOf(at);
        if (this.serving.has(name) || this.serving.size >= SERVERS_MOST) continue;
        const served = this.serve(at).catch((error: unknown) => this.line(name, told(error)));
        this.serving.set(
          name,
          served.finally(() => this.serving.delete(name)),
        );
      }
      await this.pause(this.retryMs);
    }
  }

  /** Until it fails. */
  private async serve(at: HostPort): Promise<void> {
    const devices = await devicesOf(at);
    if (devices.length === 0) this.line(nameOf(at), "has no device that is read here");
    while (!this.stopped && devices.length > 0) {
      for (const device of devices) if (!this.stopped) await this.ask(at, device);
      await this.pause(this.pollMs);
    }
  }

  private pause(ms: number): Promise<void> {
    if (this.stopped) return Promise.resolve();
    return new Promise((resolve) => {
      const wake = (): void => {
        clearTimeout(timer);
        this.waiting.delete(wake);
        resolve();
      };
      const timer = setTimeout(wake, ms);
      this.waiting.add(wake);
    });
  }

  private async ask(at: HostPort, { type, number, name, voice }: AlpacaDevice): Promise<void> {
    const known = ALPACA_TYPES[type];
    if (!known) return;
    const path = `/api/v1/${type}/${number}`;
    const line = (text: string): void => this.line(`${nameOf(at)} ${name}`, text);
    if ((await alpacaGet(at, `${path}/connected`)) !== true) {
      this.ports.forget(voice);
      return line("is not connected; connect it in the program that uses it");
    }
    const values: Record<string, unknown> = {};
    const state = await alpacaGet(at, `${path}/devicestate`);
    for (const entry of Array.isArray(state) ? state : []) {
      const { Name, Value } = (entry ?? {}) as { Name?: unknown; Value?: unknown };
      if (typeof Name === "string") values[Name.toLowerCase()] = Value;
    }
    for (const property of known.properties)
      if (!(property in values)) values[property] = await alpacaGet(at, `${path}/${property}`);
    const [instrument, saying] = known.read(values);
    this.ports.say(instrument, saying, voice);
    line("is read");
  }

  private line(of: string, text: string): void {
    const known = this.lines.get(of) ?? tellChanges((said) => this.ports.tell(`${of}: ${said}`));
    this.lines.delete(of);
    for (const old of this.lines.keys()) if (this.lines.size >= LINES_MOST) this.lines.delete(old);
    this.lines.set(of, known);
    known(text);
  }
}

/** The devices of a server that say anything of a rig. Throws AlpacaTrouble. */
async function devicesOf(at: HostPort): Promise<AlpacaDevice[]> {
  const listed = await alpacaGet(at, "/management/v1/configureddevices");
  return (Array.isArray(listed) ? listed : []).slice(0, DEVICES_MOST).flatMap((entry): AlpacaDevice[] => {
    const { DeviceType, DeviceNumber, DeviceName, UniqueID } = (entry ?? {}) as Record<string, unknown>;
    const type = String(DeviceType).toLowerCase();
    if (!Object.hasOwn(ALPACA_TYPES, type)) return [];
    if (!Number.isInteger(DeviceNumber) || (DeviceNumber as number) < 0) return [];
    const number = DeviceNumber as number;
    const name = String(DeviceName ?? type).slice(0, 60);
    const where = String(UniqueID ?? `${at.host}:${at.port}/${type}/${number}`).slice(0, 100);
    return [{ type, number, name, voice: `${name} @${where.replace(/\s/g, "_")}` }];
  });
}

function nameOf({ host, port }: HostPort): string {
  return `Alpaca ${host}:${port}`;
}

function told(error: unknown): string {
  return error instanceof AlpacaTrouble ? error.message : String(error);
}
