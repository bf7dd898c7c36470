/**
 * INDI against Debian's server with its simulators (package indi-bin): what this agent reads of them, and that
 * it never says anything but getProperties. Another program connects and moves them, as in the field.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { connect, createServer, type Server, type Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { ask, IndiSource } from "../../../hub/agent/sources/indi.ts";
import { readIndi } from "../../../hub/agent/sources/indi-reading.ts";
import { findProgram } from "../../../scripts/setup/debian.mjs";
import { freePort } from "../../../scripts/setup/free-port.mjs";
import { until } from "../../support/until.ts";
import { listener } from "./source-listener.ts";

function connected(port: number): Promise<Socket | null> {
  return new Promise((resolve) => {
    const socket = connect(port, "127.0.0.1", () => resolve(socket));
    socket.once("error", () => resolve(null));
  });
}

describe("INDI's simulators", () => {
  let server: ChildProcess;
  let port: number;
  let home: string;
  /** The program that uses the devices: connects them and sets them. */
  let user: Socket;

  beforeAll(async () => {
    const program = findProgram("indiserver");
    if (!program) throw new Error("indiserver is missing: install Debian's package indi-bin.");
    port = await freePort();
    const drivers = ["telescope", "ccd", "wheel", "focus"].map((name) => `indi_simulator_${name}`);
    // Simulators keep what they were set to in their user's folder.
    home = mkdtempSync(join(tmpdir(), "noonfall-indi-"));
    const env = { ...process.env, HOME: home };
    server = spawn(program, ["-p", String(port), ...drivers], { stdio: "ignore", env });
    user = await until("the server answers", () => connected(port));
    user.resume();
    user.on("error", () => undefined);
    user.write('<getProperties version="1.7"/>');
  });
  afterAll(async () => {
    user?.destroy();
    if (server && server.exitCode === null) {
      server.kill("SIGTERM");
      await once(server, "exit");
    }
    if (home) rmSync(home, { recursive: true, force: true });
  });

  const set = (device: string, vector: string, member: string, value = "On", kind = "Switch") =>
    void user.write(
      `<new${kind}Vector device="${device}" name="${vector}"><one${kind} name="${member}">${value}</one${kind}></new${kind}Vector>`,
    );

  test("say tracking, slot, exposure and focus as another program changes them, and nothing unconnected", async () => {
    const { said, lines, ports } = listener();
    const source = new IndiSource({ host: "127.0.0.1", port }, ports);
    source.start();
    await until("it is there", () => lines.at(-1)?.includes("no device is connected there"), {
      told: () => lines.join("\n"),
    });
    expect(said).toEqual({});
    const told = () => JSON.stringify({ said, lines });
    /**
     * Said again until it is done: a driver that starts, or was just connected, defines itself for a
     * while. Not too soon: the simulated wheel begins its turn anew.
     */
    const does = async (what: string, command: () => void, holds: () => boolean | undefined) => {
      command();
      const again = setInterval(command, 3000);
      await until(what, holds, { told }).finally(() => clearInterval(again));
    };
    const lacking = () =>
      [
        said.mount ? "" : "Telescope",
        said.wheel ? "" : "Filter",
        said.imager ? "" : "CCD",
        said.focuser?.focuserAt === undefined ? "Focuser" : "",
      ].filter(Boolean);
    const connectAll = () => {
      for (const name of lacking()) set(`${name} Simulator`, "CONNECTION", "CONNECT");
    };
    await does("all are there", connectAll, () => lacking().length === 0);

    const track = (on: boolean) => () => {
      set("Telescope Simulator", "TELESCOPE_PARK", "UNPARK");
      set("Telescope Simulator", "TELESCOPE_TRACK_STATE", on ? "TRACK_ON" : "TRACK_OFF");
    };
    await does(
      "it tracks",
      track(true),
      () => said.mount?.tracking === true && said.mount.mount === "tracking",
    );
    await does("it has stopped", track(false), () => said.mount?.tracking === false);

    // The simulated camera has a wheel of its own, which stays where it is.
    const wheel = (slot: string) => `CCD Simulator: Red, Filter Simulator: ${slot}`;
    await until("both wheels are named", () => said.wheel?.wheelSlot === wheel("Red"), { told });
    const turn = (slot: number) =>
      set("Filter Simulator", "FILTER_SLOT", "FILTER_SLOT_VALUE", String(slot), "Number");
    turn(3);
    await until("it has turned", () => said.wheel?.wheelSlot === wheel("Blue"), { told });
    expect(said.wheel?.filter).toBe("unknown");
    set("Filter Simulator", "FILTER_NAME", "FILTER_SLOT_NAME_2", "Open", "Text");
    turn(2);
    await until("its open slot is off (S9)", () => said.wheel?.filter === "off", { told });
    expect(said.wheel?.wheelSlot).toBe(wheel("Open"));
    set("Filter Simulator", "CONNECTION", "DISCONNECT");
    await until("the other wheel is left", () => said.wheel?.wheelSlot === "Red", { told });
    await until("the camera rests", () => said.imager?.exposing === false, { told });
    set("CCD Simulator", "CCD_EXPOSURE", "CCD_EXPOSURE_VALUE", "1", "Number");
    await until("it exposes", () => said.imager?.exposing === true, { told });
    await until("it has exposed", () => said.imager?.exposing === false, { told });
    await source.stop();
  });
});

test("a wheel's open slot is off for the eye rules (S9), another says nothing of it, one that turns nothing at all", () => {
  const vector = (name: string, state: string, members: Record<string, string>) => ({
    device: "Wheel",
    name,
    state,
    members: new Map(Object.entries(members)),
  });
  const wheel = (slot: string, state: string) =>
    readIndi([
      vector("CONNECTION", "Ok", { CONNECT: "On" }),
      vector("FILTER_NAME", "Ok", { FILTER_SLOT_NAME_1: "Red", FILTER_SLOT_NAME_2: "Open" }),
      vector("FILTER_SLOT", state, { FILTER_SLOT_VALUE: slot }),
    ])
      .get("Wheel")
      ?.get("wheel");
  expect(wheel("2", "Ok")).toEqual({ wheelSlot: "Open", filter: "off" });
  expect(wheel("1", "Ok")).toEqual({ wheelSlot: "Red", filter: "unknown" });
  expect(wheel("2", "Busy")).toEqual({});
});

describe("a server that is none", () => {
  const servers: Server[] = [];
  const sockets = new Set<Socket>();
  afterAll(() => {
    for (const socket of sockets) socket.destroy();
    for (const server of servers) server.close();
  });

  async function fake(answer: (socket: Socket) => void): Promise<number> {
    const server = createServer((socket) => {
      sockets.add(socket);
      socket.on("error", () => undefined);
      answer(socket);
    });
    servers.push(server);
    await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
    return (server.address() as { port: number }).port;
  }

  async function firstLine(port: number, what: RegExp): Promise<string[]> {
    const { lines, ports } = listener();
    const source = new IndiSource({ host: "127.0.0.1", port }, ports);
    source.start();
    await until("it says so", () => lines.some((line) => what.test(line)), { told: () => lines.join("\n") });
    await source.stop();
    return lines;
  }

  test("is one sentence each: nothing there, nonsense, an element without end", async () => {
    const nobody = await freePort();
    expect(await firstLine(nobody, /nothing answers there; trying again$/)).toHaveLength(1);
    const nonsense = await fake((socket) => socket.write("HTTP/1.1 400 Bad Request\r\n<<<<"));
    expect(await firstLine(nonsense, /says what is no INDI/)).toHaveLength(1);
    const endless = await fake((socket) => {
      socket.write('<defTextVector device="x" name="y"><defText name="z">');
      const timer = setInterval(() => socket.write("x".repeat(200_000)), 5);
      socket.on("close", () => clearInterval(timer));
    });
    expect(await firstLine(endless, /an element without end/)).toHaveLength(1);
  });

  test("hears getProperties and nothing else, whatever it defines", async () => {
    let heard = "";
    const port = await fake((socket) => {
      socket.on("data", (chunk) => {
        heard += chunk.toString();
      });
      const define = (state: string) =>
        `<defSwitchVector device="D" name="CONNECTION" state="Ok"><defSwitch name="CONNECT">${state}</defSwitch></defSwitchVector>`;
      socket.write(define("Off") + define("On"));
      socket.write(
        '<defSwitchVector device="D" name="TELESCOPE_TRACK_STATE" state="Idle"><defSwitch name="TRACK_ON">Off</defSwitch></defSwitchVector>',
      );
    });
    const { said, ports } = listener();
    const source = new IndiSource({ host: "127.0.0.1", port }, ports);
    source.start();
    await until("it is read", () => said.mount?.tracking === false);
    await source.stop();
    expect(heard).toBe('<getProperties version="1.7"/>\n');
    const socket = { write: () => true } as never;
    for (const verb of ["newSwitchVector", "newNumberVector", "newTextVector", "enableBLOB", ""])
      expect(() => ask(socket, verb, "")).toThrow(/never sends/);
  });
});
