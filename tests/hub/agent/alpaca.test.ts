/**
 * Alpaca against a fake server with discovery that refuses everything but GET. Answers as the open
 * standard's API reference gives them (version 10, 2025; from memory): Value, ErrorNumber, ErrorMessage.
 */
import { createSocket, type Socket } from "node:dgram";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { AlpacaSource } from "../../../hub/agent/sources/alpaca.ts";
import { discoverAlpaca } from "../../../hub/agent/sources/alpaca-discovery.ts";
import { AlpacaTrouble, alpacaGet } from "../../../hub/agent/sources/alpaca-web.ts";
import { freePort } from "../../../scripts/setup/free-port.mjs";
import { until } from "../../support/until.ts";
import { listener } from "./source-listener.ts";

const HERE = "127.0.0.1";
const NOT_IMPLEMENTED = 0x400;

/** What the devices say now. */
const sky = {
  tracking: true,
  slot: 1,
  cover: 3,
  camera: 0,
};
const asked: string[] = [];
let server: Server;
let discovery: Socket;
let port: number;
let discoveryPort: number;

const DEVICES = [
  { DeviceName: "Mount", DeviceType: "Telescope", DeviceNumber: 0, UniqueID: "a" },
  { DeviceName: "Wheel", DeviceType: "FilterWheel", DeviceNumber: 0, UniqueID: "b" },
  { DeviceName: "Dust cover", DeviceType: "CoverCalibrator", DeviceNumber: 0, UniqueID: "c" },
  { DeviceName: "Old camera", DeviceType: "Camera", DeviceNumber: 0, UniqueID: "d" },
  { DeviceName: "Station", DeviceType: "ObservingConditions", DeviceNumber: 0, UniqueID: "e" },
  { DeviceName: "Asleep", DeviceType: "Focuser", DeviceNumber: 0, UniqueID: "f" },
  { DeviceName: "Roof", DeviceType: "Dome", DeviceNumber: 0, UniqueID: "g" },
];

function answerTo(path: string): unknown {
  const states: Record<string, unknown> = {
    "/management/v1/configureddevices": DEVICES,
    "/api/v1/telescope/0/devicestate": [
      { Name: "AtPark", Value: false },
      { Name: "Slewing", Value: false },
      { Name: "Tracking", Value: sky.tracking },
    ],
    "/api/v1/filterwheel/0/devicestate": [{ Name: "Position", Value: sky.slot }],
    "/api/v1/filterwheel/0/names": ["Open", "Red"],
    "/api/v1/covercalibrator/0/devicestate": [{ Name: "CoverState", Value: sky.cover }],
    // An older interface has no devicestate.
    "/api/v1/camera/0/camerastate": sky.camera,
    "/api/v1/observingconditions/0/devicestate": [
      { Name: "Temperature", Value: 31.26 },
      { Name: "CloudCover", Value: 20 },
      { Name: "WindSpeed", Value: 4.04 },
      { Name: "Humidity", Value: 400 },
    ],
  };
  if (path.endsWith("/connected")) return !path.includes("/focuser/");
  return states[path];
}

beforeAll(async () => {
  server = createServer((request, response) => {
    const path = new URL(request.url ?? "", "http://x").pathname;
    asked.push(`${request.method} ${path}`);
    if (request.method !== "GET") {
      response.writeHead(405).end();
      return;
    }
    const value = answerTo(path);
    response.setHeader("Content-Type", "application/json");
    const error =
      value === undefined ? { ErrorNumber: NOT_IMPLEMENTED, ErrorMessage: "not implemented" } : {};
    response.end(JSON.stringify({ ErrorNumber: 0, ErrorMessage: "", Value: value ?? 0, ...error }));
  });
  await new Promise<void>((resolve) => server.listen(0, HERE, resolve));
  port = (server.address() as AddressInfo).port;
  discovery = createSocket("udp4");
  discovery.on("message", (data, from) => {
    if (data.toString() === "alpacadiscovery1")
      discovery.send(JSON.stringify({ AlpacaPort: port }), from.port, from.address);
  });
  await new Promise<void>((resolve) => discovery.bind(0, HERE, resolve));
  discoveryPort = discovery.address().port;
});
afterAll(() => {
  server.close();
  server.closeAllConnections();
  discovery.close();
});

test("devices are found by discovery, read, and never sent anything but GET", async () => {
  expect(await discoverAlpaca(discoveryPort, 300)).toEqual([{ host: HERE, port }]);
  const { said, lines, ports } = listener();
  const source = new AlpacaSource("auto", ports, () => discoverAlpaca(discoveryPort, 300), 100);
  source.start();
  const told = () => JSON.stringify({ said, lines });
  await until("the last one is asked", () => lines.some((line) => /Asleep: is not connected/.test(line)), {
    told,
  });
  expect(said).toEqual({
    mount: { mount: "tracking", tracking: true },
    wheel: { wheelSlot: "Red", filter: "unknown" },
    cover: { cover: "open" },
    imager: { exposing: false },
    // What is out of its range is not said.
    weather: { airC: 31.3, cloudPct: 20, windMPerS: 4 },
  });
  Object.assign(sky, { tracking: false, slot: 0, cover: 1, camera: 2 });
  await until("the next round", () => said.imager?.exposing === true, { told });
  expect(said.mount).toEqual({ mount: "stopped", tracking: false });
  expect(said.wheel).toEqual({ wheelSlot: "Open", filter: "off" });
  // A closed cover releases nothing: it says no filter.
  expect(said.cover).toEqual({ cover: "closed" });
  await source.stop();
  expect(asked.filter((line) => !line.startsWith("GET "))).toEqual([]);
  expect(asked.some((line) => line.includes("dome"))).toBe(false);
});

describe("the one place that sends", () => {
  test.each(["PUT", "POST", "DELETE", "get", ""])("refuses %j", async (verb) => {
    const before = asked.length;
    await expect(alpacaGet({ host: HERE, port }, "/api/v1/telescope/0/tracking", verb)).rejects.toThrow(
      /never sends/,
    );
    expect(asked).toHaveLength(before);
  });

  test("bounds what comes back: nothing, nonsense, no end, a way elsewhere, silence", async () => {
    const bad = createServer((request, response) => {
      if (request.url?.startsWith("/html")) response.end("<html>");
      else if (request.url?.startsWith("/away"))
        response.writeHead(302, { Location: `http://${HERE}:${port}/` }).end();
      else if (request.url?.startsWith("/endless")) {
        const timer = setInterval(() => response.write("x".repeat(50_000)), 5);
        response.on("close", () => clearInterval(timer));
      } else if (request.url?.startsWith("/500")) response.writeHead(500).end();
    });
    await new Promise<void>((resolve) => bad.listen(0, HERE, resolve));
    const at = { host: HERE, port: (bad.address() as AddressInfo).port };
    const why = (path: string) =>
      alpacaGet(at, path, "GET", 500).then(
        () => "no trouble",
        (error: unknown) => (error instanceof AlpacaTrouble ? error.message : String(error)),
      );
    const all = await Promise.all(["/html", "/away", "/endless", "/500", "/silent"].map(why));
    expect(all).toEqual([
      "answers what is no Alpaca",
      expect.stringMatching(/^cannot be reached/),
      "answers without end",
      "answers 500",
      "does not answer within 0.5 s",
    ]);
    bad.close();
    bad.closeAllConnections();
    at.port = await freePort();
    expect(await why("/html")).toBe("nothing answers there");
  });
});

test("one server that is mute and one that fails hold nobody up, and the one that failed is read when it is back", async () => {
  const mute = createServer(() => undefined);
  let works = false;
  const flaky = createServer((request, response) => {
    if (!works) return void request.socket.destroy();
    const path = new URL(request.url ?? "", "http://x").pathname;
    const focuser = [{ DeviceName: "F", DeviceType: "Focuser", DeviceNumber: 0, UniqueID: "f" }];
    const Value = path.endsWith("configureddevices") ? focuser : path.endsWith("connected") ? true : 77;
    response.end(JSON.stringify({ ErrorNumber: 0, Value }));
  });
  const at = await Promise.all(
    [mute, flaky].map(async (one) => {
      await new Promise<void>((resolve) => one.listen(0, HERE, resolve));
      return { host: HERE, port: (one.address() as AddressInfo).port };
    }),
  );
  const { said, lines, ports } = listener();
  const source = new AlpacaSource("auto", ports, async () => [...at, { host: HERE, port }], 100, 200);
  source.start();
  const told = () => JSON.stringify({ said, lines });
  const began = performance.now();
  const reads = (line: string) => line.includes(`:${port} `) && line.endsWith("is read");
  await until("the good one is read", () => lines.some(reads), { told });
  // A mute one takes three seconds of waiting each time.
  expect(performance.now() - began).toBeLessThan(3000);
  works = true;
  await until("the other is back", () => said.focuser?.focuserAt === 77, { told });
  mute.closeAllConnections();
  await source.stop();
  for (const one of [mute, flaky]) {
    one.close();
    one.closeAllConnections();
  }
});

test("one server under two addresses is one instrument", async () => {
  const asPort = async (wheels: object[]) => {
    const one = createServer((request, response) => {
      const path = new URL(request.url ?? "", "http://x").pathname;
      const slot = [
        { Name: "Position", Value: 0 },
        { Name: "Names", Value: ["Red"] },
      ];
      const Value = path.endsWith("configureddevices") ? wheels : path.endsWith("connected") ? true : slot;
      response.end(JSON.stringify({ ErrorNumber: 0, Value }));
    });
    await new Promise<void>((resolve) => one.listen(0, HERE, resolve));
    return { one, at: { host: HERE, port: (one.address() as AddressInfo).port } };
  };
  const wheel = (name: string, id: string) => ({
    DeviceName: name,
    DeviceType: "FilterWheel",
    DeviceNumber: 0,
    UniqueID: id,
  });
  const [a, b, c] = await Promise.all([
    asPort([wheel("Wheel", "x 1")]),
    asPort([wheel("Wheel", "x 1")]),
    asPort([wheel("Other", "x 2")]),
  ]);
  const { said, lines, ports } = listener();
  const source = new AlpacaSource("auto", ports, async () => [a.at, b.at], 50, 100);
  source.start();
  const told = () => JSON.stringify({ said, lines });
  await until("both are read", () => lines.filter((line) => line.endsWith("is read")).length === 2, { told });
  expect(said.wheel?.wheelSlot).toBe("Red");
  await source.stop();
  const two = new AlpacaSource("auto", ports, async () => [a.at, c.at], 50, 100);
  two.start();
  await until("two wheels are two", () => said.wheel?.wheelSlot === "Other: Red, Wheel: Red", { told });
  await two.stop();
  for (const { one } of [a, b, c]) {
    one.close();
    one.closeAllConnections();
  }
});
