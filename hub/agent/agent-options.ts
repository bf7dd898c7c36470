/**
 * What can be said on the agent's command line. What belongs to a rig stands after its --join (with one
 * rig, anywhere). Every mistake is one sentence naming the option.
 */
import { parseArgs } from "node:util";
import { UsageError } from "../options.ts";
import { readRigUrl } from "./rig-url.ts";

export interface HostPort {
  host: string;
  port: number;
}

/** The instruments beside one rig. */
export interface Instruments {
  /** The folder that frames arrive in: one, or none. */
  watch: readonly string[];
  /** "auto", or an address as gphoto2 writes it ("usb:001,004", "ptpip:192.168.1.20"). */
  cameras: readonly string[];
  indi: readonly HostPort[];
  alpaca: readonly ("auto" | HostPort)[];
  gps: readonly HostPort[];
}

export interface JoinedRig extends Instruments {
  /** Of the hub, e.g. "http://192.168.1.5:8620". */
  hubUrl: string;
  rigId: string;
  token: string;
}

export type AgentOptions = { list: true; look: Instruments } | { list: false; rigs: readonly JoinedRig[] };

export const INDI_PORT = 7624;
export const GPS_PORT = 2947;

export const AGENT_USAGE = `Usage: npm run agent -- --join URL-OF-A-RIG [what stands beside it]
  --join URL           the rig's link, as its QR code has it; again for another rig
  --watch FOLDER       a folder, or a card, in which frames arrive
  --camera auto|ADDRESS   a camera on a cable or in the network, read by gphoto2
  --indi HOST:PORT     an INDI server (mount, wheel, camera, focuser); its usual port is ${INDI_PORT}
  --alpaca auto|HOST:PORT   Alpaca devices; "auto" asks in this network
  --gps HOST:PORT      a GPS daemon; its usual port is ${GPS_PORT}
  --list               says what is found here, and stops
  --help               this text
Everything is only read. Nothing is ever moved, set, opened in totality, or written.`;

type Flag = "join" | "watch" | "camera" | "indi" | "alpaca" | "gps";

export function readAgentOptions(args: readonly string[]): AgentOptions | "help" {
  const said = readFlags(args);
  if (said === "help") return "help";
  const firstJoin = said.given.findIndex(({ name }) => name === "join");
  // With one rig everything is that rig's, wherever it stands; with several, what stands before is the first's.
  const groups: { join: string | null; rest: { name: Flag; value: string }[] }[] = [];
  const before = said.given.slice(0, Math.max(0, firstJoin === -1 ? said.given.length : firstJoin));
  groups.push({ join: said.given[firstJoin]?.value ?? null, rest: before });
  for (const one of firstJoin === -1 ? [] : said.given.slice(firstJoin + 1)) {
    if (one.name === "join") groups.push({ join: one.value, rest: [] });
    else groups.at(-1)?.rest.push(one);
  }
  if (said.list) return { list: true, look: instrumentsOf(groups.flatMap(({ rest }) => rest)) };
  if (firstJoin === -1) throw new UsageError(`--join is missing: the link of a rig.\n${AGENT_USAGE}`);
  const rigs = groups.flatMap(({ join, rest }): JoinedRig[] => {
    const { hubUrl, links } = readRigUrl(join ?? "");
    return links.map(({ id, token }) => ({ hubUrl, rigId: id, token, ...instrumentsOf(rest) }));
  });
  const twice = rigs.find((rig, at) =>
    rigs.slice(0, at).some((other) => other.rigId === rig.rigId && other.hubUrl === rig.hubUrl),
  );
  if (twice) throw new UsageError(`--join: rig ${twice.rigId} is joined twice.`);
  return { list: false, rigs };
}

function readFlags(
  args: readonly string[],
): "help" | { list: boolean; given: { name: Flag; value: string }[] } {
  let tokens: ReturnType<typeof parse>["tokens"];
  try {
    ({ tokens } = parse(args));
  } catch (error) {
    throw new UsageError(`${(error as Error).message.split(". ")[0]}.\n${AGENT_USAGE}`);
  }
  const given: { name: Flag; value: string }[] = [];
  let list = false;
  for (const token of tokens) {
    if (token.kind !== "option") continue;
    if (token.name === "help") return "help";
    if (token.name === "list") list = true;
    else if (!token.value) throw new UsageError(`--${token.name} needs a value.`);
    else given.push({ name: token.name as Flag, value: token.value });
  }
  return { list, given };
}

function parse(args: readonly string[]) {
  const many = { type: "string", multiple: true } as const;
  return parseArgs({
    args: [...args],
    options: {
      join: many,
      watch: many,
      camera: many,
      indi: many,
      alpaca: many,
      gps: many,
      list: { type: "boolean" },
      help: { type: "boolean" },
    },
    allowPositionals: false,
    tokens: true,
  });
}

function instrumentsOf(given: readonly { name: Flag; value: string }[]): Instruments {
  const of = (name: Flag): string[] => given.filter((one) => one.name === name).map(({ value }) => value);
  // Two of them would overwrite each other's words.
  for (const name of ["watch", "camera", "gps"] as const)
    if (of(name).length > 1) throw new UsageError(`--${name} can be given once for each rig.`);
  return {
    watch: of("watch"),
    cameras: of("camera").map(readCamera),
    indi: of("indi").map((text) => readHostPort("indi", text, INDI_PORT)),
    alpaca: of("alpaca").map((text) => (text === "auto" ? text : readHostPort("alpaca", text))),
    gps: of("gps").map((text) => readHostPort("gps", text, GPS_PORT)),
  };
}

/** It goes to a program as an argument: nothing that could be taken for an option of that program. */
function readCamera(text: string): string {
  if (text === "auto" || /^(usb|ptpip|serial|disk):[A-Za-z0-9_.,:/[\]-]{0,200}$/.test(text)) return text;
  // A bare address is a camera in the network.
  if (/^[A-Za-z0-9][A-Za-z0-9.-]{0,200}$/.test(text)) return `ptpip:${text}`;
  throw new UsageError(
    `--camera must be auto, or an address such as usb:001,004 or ptpip:192.168.1.20, not "${text}".`,
  );
}

/** "host:port", "[v6]:port"; the port may be left out where there is a usual one. */
function readHostPort(option: string, text: string, usualPort?: number): HostPort {
  const found = /^(?:\[([0-9A-Fa-f:.]+)\]|([A-Za-z0-9_.-]+))(?::(\d{1,5}))?$/.exec(text);
  const host = found?.[1] ?? found?.[2];
  const port = found?.[3] === undefined ? usualPort : Number(found[3]);
  if (!host || port === undefined || port < 1 || port > 65_535)
    throw new UsageError(`--${option} must be HOST:PORT, not "${text}".`);
  return { host, port };
}
