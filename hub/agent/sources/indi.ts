/**
 * An INDI server (an open protocol of XML over TCP, version 1.7; property names from its published list of
 * standard properties, from memory): mount, wheel, camera, focuser, cover, weather. It is only asked what
 * there is, by `getProperties`, which also subscribes to what changes. Devices are connected by whatever
 * program uses them; this one connects nothing and sets nothing (INDI_VERBS).
 */
import { connect, type Socket } from "node:net";
import { SaxesParser } from "saxes";
import type { HostPort } from "../agent-options.ts";
import { type Source, type SourcePorts, tellChanges } from "../source.ts";
import { type IndiVector, readIndi } from "./indi-reading.ts";

/** All that this client ever says. */
export const INDI_VERBS: readonly string[] = ["getProperties"];

const RETRY_MS = [2000, 30_000] as const;
/** A server that takes the connection and defines nothing for so long is none, ms. */
const MUTE_MS = 20_000;
/** More than this without an end of its element is no INDI (frames travel on another channel). */
const ELEMENT_MOST = 1_000_000;
/** Devices and properties kept of one server. */
const VECTORS_MOST = 5000;
const MEMBERS_MOST = 500;

interface Open {
  vector: IndiVector | null;
  member: string | null;
  text: string;
  /** Characters since the last tag: the parser keeps them all until the next one. */
  sinceTag: number;
}

export class IndiSource implements Source {
  private socket: Socket | null = null;
  private timer: NodeJS.Timeout | undefined;
  private retryMs: number = RETRY_MS[0];
  private stopped = false;
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
    this.socket?.destroy();
  }

  private open(): void {
    this.vectors.clear();
    const socket = connect({ host: this.at.host, port: this.at.port });
    this.socket = socket;
    socket.setEncoding("utf8");
    socket.setTimeout(MUTE_MS, () => {
      if (this.vectors.size === 0) socket.destroy(new Error("says nothing"));
    });
    const open: Open = { vector: null, member: null, text: "", sinceTag: 0 };
    const parser = this.parser(open, (why) => socket.destroy(new Error(why)));
    let why = "closed";
    socket.on("connect", () => ask(socket, "getProperties", 'version="1.7"'));
    socket.on("data", (chunk: string) => {
      open.sinceTag += chunk.length;
      if (open.sinceTag > ELEMENT_MOST) {
        socket.destroy(new Error("sends an element without end"));
        return;
      }
      try {
        parser.write(chunk);
      } catch (error) {
        socket.destroy(error as Error);
      }
    });
    socket.on("error", (error: NodeJS.ErrnoException) => {
      why = error.code === "ECONNREFUSED" ? "nothing answers there" : error.message;
    });
    socket.on("close", () => {
      if (this.stopped || this.socket !== socket) return;
      this.line(`${why}; trying again`);
      this.timer = setTimeout(() => this.open(), this.retryMs);
      this.retryMs = Math.min(RETRY_MS[1], this.retryMs * 2);
    });
  }

  /** What comes is a run of elements without a root: one is opened for it. */
  private parser(open: Open, fail: (why: string) => void): SaxesParser {
    const parser = new SaxesParser();
    parser.on("error", () => fail("says what is no INDI"));
    parser.on("opentag", ({ name, attributes }) => {
      const text = (key: string): string => String(attributes[key] ?? "");
      if (/^(def|set)\w*Vector$/.test(name)) {
        open.vector = {
          device: text("device"),
          name: text("name"),
          state: text("state"),
          members: new Map(),
        };
      } else if (/^(def|one)(Switch|Number|Text|Light)$/.test(name)) open.member = text("name");
      else if (name === "delProperty") this.drop(text("device"), text("name"));
      open.text = "";
      open.sinceTag = 0;
    });
    parser.on("text", (text) => {
      if (open.member !== null) open.text += text;
    });
    parser.on("closetag", ({ name }) => {
      open.sinceTag = 0;
      if (/^(def|one)(Switch|Number|Text|Light)$/.test(name) && open.vector && open.member !== null) {
        if (open.vector.members.size < MEMBERS_MOST) open.vector.members.set(open.member, open.text.trim());
        open.member = null;
      } else if (open.vector && /^(def|set)\w*Vector$/.test(name)) {
        this.take(open.vector);
        open.vector = null;
      }
    });
    parser.write("<indi>");
    return parser;
  }

  private take(vector: IndiVector): void {
    const key = `${vector.device}\n${vector.name}`;
    const known = this.vectors.get(key);
    if (!known && this.vectors.size >= VECTORS_MOST) return;
    // A set names what has changed, a definition all.
    const members = new Map([...(known?.members ?? []), ...vector.members]);
    this.vectors.set(key, { ...vector, members });
    this.retryMs = RETRY_MS[0];
    this.tellAll();
  }

  private drop(device: string, name: string): void {
    for (const [key, vector] of this.vectors)
      if (vector.device === device && (name === "" || vector.name === name)) this.vectors.delete(key);
    this.tellAll();
  }

  private tellAll(): void {
    const { sayings, devices } = readIndi([...this.vectors.values()]);
    for (const [instrument, saying] of sayings) this.ports.say(instrument, saying);
    this.line(
      devices.length > 0
        ? `reads ${devices.join(", ")}`
        : "no device is connected there; connect them in the program that uses them",
    );
  }
}

/** The one place where anything is sent: what is not on the list is not. */
export function ask(socket: Pick<Socket, "write">, verb: string, attributes: string): void {
  if (!INDI_VERBS.includes(verb)) throw new Error(`an INDI client that only reads never sends ${verb}`);
  socket.write(`<${verb} ${attributes}/>\n`);
}
