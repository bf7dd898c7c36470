/** Alpaca devices beside a rig: found once and again, asked once a second, one after the other. */
import type { HostPort } from "../agent-options.ts";
import { type Source, type SourcePorts, tellChanges } from "../source.ts";
import { discoverAlpaca } from "./alpaca-discovery.ts";
import { ALPACA_TYPES } from "./alpaca-reading.ts";
import { AlpacaTrouble, alpacaGet } from "./alpaca-web.ts";

const POLL_MS = 1000;
const RETRY_MS = 15_000;
const DEVICES_MOST = 32;
/** Of so many servers and devices it is remembered what was told last. */
const LINES_MOST = 200;

export interface AlpacaDevice {
  type: string;
  number: number;
  name: string;
}

export class AlpacaSource implements Source {
  private timer: NodeJS.Timeout | undefined;
  private stopped = false;
  private working: Promise<void> = Promise.resolve();
  private readonly lines = new Map<string, (text: string) => void>();
  private servers: { at: HostPort; devices: AlpacaDevice[] }[] = [];

  constructor(
    private readonly at: "auto" | HostPort,
    private readonly ports: SourcePorts,
    private readonly discover: () => Promise<HostPort[]> = discoverAlpaca,
    private readonly pollMs = POLL_MS,
  ) {}

  start(): void {
    this.next(0);
  }

  async stop(): Promise<void> {
    this.stopped = true;
    clearTimeout(this.timer);
    await this.working;
  }

  private next(afterMs: number): void {
    if (this.stopped) return;
    this.timer = setTimeout(() => {
      this.working = this.round().catch((error: unknown) => this.line("Alpaca", String(error)));
    }, afterMs);
  }

  private async round(): Promise<void> {
    if (this.servers.length === 0) await this.find();
    for (const server of this.servers) {
      for (const device of server.devices) {
        if (this.stopped) return;
        try {
          await this.ask(server.at, device);
        } catch (error) {
          this.line(nameOf(server.at), told(error));
          server.devices = [];
          break;
        }
      }
    }
    this.servers = this.servers.filter(({ devices }) => devices.length > 0);
    this.next(this.servers.length > 0 ? this.pollMs : RETRY_MS);
  }

  private async find(): Promise<void> {
    const found = this.at === "auto" ? await this.discover() : [this.at];
    if (found.length === 0) this.line("Alpaca", "nothing answers in this network; asking again");
    for (const at of found) {
      try {
        const devices = await devicesOf(at);
        this.servers.push({ at, devices });
        if (devices.length === 0) this.line(nameOf(at), "has no device that is read here");
      } catch (error) {
        this.line(nameOf(at), told(error));
      }
    }
  }

  private async ask(at: HostPort, { type, number, name }: AlpacaDevice): Promise<void> {
    const known = ALPACA_TYPES[type];
    if (!known) return;
    const path = `/api/v1/${type}/${number}`;
    const line = (text: string): void => this.line(`${nameOf(at)} ${name}`, text);
    const voice = `${name} ${number} @${at.host}:${at.port}`;
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
    const { DeviceType, DeviceNumber, DeviceName } = (entry ?? {}) as Record<string, unknown>;
    const type = String(DeviceType).toLowerCase();
    if (!Object.hasOwn(ALPACA_TYPES, type)) return [];
    if (!Number.isInteger(DeviceNumber) || (DeviceNumber as number) < 0) return [];
    return [{ type, number: DeviceNumber as number, name: String(DeviceName ?? type).slice(0, 60) }];
  });
}

function nameOf({ host, port }: HostPort): string {
  return `Alpaca ${host}:${port}`;
}

function told(error: unknown): string {
  return error instanceof AlpacaTrouble ? error.message : String(error);
}
