/**
 * An INDI server (an open protocol of XML over TCP, version 1.7; property names from its published list of
 * standard properties, from memory): mount, wheel, camera, focuser, cover, weather. It is only asked what
 * there is, by `getProperties`, which also subscribes to what changes. Devices are connected by whatever
 * program uses them; this one connects nothing and sets nothing (INDI_VERBS).
 */
import { connect, type Socket } from "node:net";
import type { HostPort } from "../agent-options.ts";
import { type Source, type SourcePorts, tellChanges } from "../source.ts";
import { type IndiVector, readIndi } from "./indi-reading.ts";
import { IndiStream } from "./indi-stream.ts";

/** All that this client ever says. */
export const INDI_VERBS: readonly string[] = ["getProperties"];

const RETRY_MS = [2000, 30_000] as const;
/** Silent for so long, it is asked again; silent for as long once more, it is gone, ms. */
const IDLE_MS = 10_000;
/** Vectors kept of one server, of those that are read, and members of each. */
const VECTORS_MOST = 500;
const MEMBERS_MOST = 100;
/** What comes together (a slot, then the names of slots) is read together, ms. */
const TOGETHER_MS = 50;

export class IndiSource implements Source {
  private socket: Socket | null = null;
  private timer: NodeJS.Timeout | undefined;
  private telling: NodeJS.Timeout | undefined;
  private retryMs: number = RETRY_MS[0];
  private stopped = false;
  /** Devices of which anything was said. */
  private said = new Set<string>();
  private readonly vectors = new Map<string, IndiVector>();
  private readonly line: (text: string) => void;
  private readonly name: string;

  constructor(
    private readonly at: HostPort,
    private readonly ports: SourcePorts,
  ) {
    this.name = `INDI ${at.host}:${at.port}`;
    this.line = tellChanges((text) => ports.tell(`${this.name}: ${text}`));
  }

  start(): void {
    this.open();
  }

  async stop(): Promise<void> {
    this.stopped = true;
    clearTimeout(this.timer);
    clearTimeout(this.telling);
    this.socket?.destroy();
  }

  private open(): void {
    this.vectors.clear();
    const socket = connect({ host: this.at.host, port: this.at.port });
    this.socket = socket;
    let why = "closed";
    const fail = (reason: string): void => {
      why = reason;
      // Whoever speaks so is not asked again soon.
      if (reason !== SILENT) this.retryMs = RETRY_MS[1];
      socket.destroy();
    };
    let askedAgain = false;
    socket.setTimeout(IDLE_MS, () => {
      if (askedAgain || socket.connecting) return fail(SILENT);
      askedAgain = true;
      // All that can be asked; whoever lives defines itself anew.
      ask(socket, "getProperties", 'version="1.7"');
    });
    const stream = new IndiStream({
      take: (vector) => this.take(vector),
      drop: (device, name) => this.drop(device, name),
    });
    socket.on("connect", () => ask(socket, "getProperties", 'version="1.7"'));
    socket.on("data", (bytes) => {
      if (socket.destroyed) return;
      askedAgain = false;
      const trouble = stream.write(bytes, this.ports.mono());
      if (trouble) fail(trouble);
    });
    socket.on("error", (error: NodeJS.ErrnoException) => {
      why = error.code === "ECONNREFUSED" ? "nothing answers there" : `cannot be reached (${error.code})`;
    });
    socket.on("close", () => {
      if (this.stopped || this.socket !== socket) return;
      clearTimeout(this.telling);
      this.telling = undefined;
      this.line(`${why}; trying again`);
      this.timer = setTimeout(() => this.open(), this.retryMs);
      this.retryMs = Math.min(RETRY_MS[1], this.retryMs * 2);
    });
  }

  private take(vector: IndiVector): void {
    const key = `${vector.device}\n${vector.name}`;
    const known = this.vectors.get(key);
    if (!known && this.vectors.size >= VECTORS_MOST) return;
    // A set names what has changed, a definition all; a set without a state leaves it as it was.
    const members = new Map(known?.members);
    for (const [member, value] of vector.members)
      if (members.has(member) || members.size < MEMBERS_MOST) members.set(member, value);
    this.vectors.set(key, { ...vector, state: vector.state || (known?.state ?? ""), members });
    this.retryMs = RETRY_MS[0];
    this.tellSoon();
  }

  private drop(device: string, name: string): void {
    for (const [key, vector] of this.vectors)
      if (vector.device === device && (name === "" || vector.name === name)) this.vectors.delete(key);
    this.tellSoon();
  }

  /** As people read it; another server may have a device of the same name. */
  private voice(device: string): string {
    return `${device} @${this.at.host}:${this.at.port}`;
  }

  private tellSoon(): void {
    this.telling ??= setTimeout(() => {
      this.telling = undefined;
      if (!this.stopped) this.tellAll();
    }, TOGETHER_MS);
  }

  private tellAll(): void {
    const devices = readIndi([...this.vectors.values()]);
    for (const device of this.said) if (!devices.has(device)) this.ports.forget(this.voice(device));
    this.said = new Set(devices.keys());
    for (const [device, sayings] of devices)
      for (const [instrument, saying] of sayings) this.ports.say(instrument, saying, this.voice(device));
    this.line(
      devices.size > 0
        ? `reads ${[...devices.keys()].join(", ")}`
        : "no device is connected there; connect them in the program that uses them",
    );
  }
}

const SILENT = "says nothing";

/** The one place where anything is sent: what is not on the list is not. */
export function ask(socket: Pick<Socket, "write">, verb: string, attributes: string): void {
  if (!INDI_VERBS.includes(verb)) throw new Error(`an INDI client that only reads never sends ${verb}`);
  socket.write(`<${verb} ${attributes}/>\n`);
}
