/**
 * A camera, read by Debian's gphoto2 (package gphoto2) from a responder of ours on loopback: what is read of it,
 * that nothing but reading operations reach it, and when it is left alone.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { dueNow, NOTHING_DUE, type WhatIsDue } from "../../../hub/agent/due-now.ts";
import type { RigSourcePorts } from "../../../hub/agent/rig-agent.ts";
import type { Saying } from "../../../hub/agent/source.ts";
import { CameraSource } from "../../../hub/agent/sources/camera.ts";
import { clockSaying } from "../../../hub/agent/sources/camera-reading.ts";
import { askGphoto } from "../../../hub/agent/sources/gphoto.ts";
import { findProgram } from "../../../scripts/setup/debian.mjs";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { OPERATIONS, type PtpCamera, startPtpCamera } from "../../support/ptp-camera.ts";
import { until } from "../../support/until.ts";

const READING: ReadonlySet<number> = new Set(Object.values(OPERATIONS));
const S = 1000;
const OPEN: WhatIsDue = { near: false, cameraClosed: null };

let camera: PtpCamera;
const home = mkdtempSync(join(tmpdir(), "noonfall-gphoto-"));
const HOME = process.env.HOME;
beforeAll(async () => {
  if (!findProgram("gphoto2")) throw new Error("gphoto2 is missing: install Debian's package gphoto2.");
  // It keeps settings of its own.
  process.env.HOME = home;
  camera = await startPtpCamera();
});
afterAll(async () => {
  process.env.HOME = HOME;
  rmSync(home, { recursive: true, force: true });
  await camera.stop();
});

function listener(due: () => WhatIsDue = () => OPEN) {
  const said: Saying = {};
  const lines: string[] = [];
  const ports: RigSourcePorts = {
    mono: () => performance.now(),
    utcMs: () => Date.now(),
    utcBoundMs: () => 20,
    say: (instrument, saying) => {
      if (instrument === "camera") Object.assign(said, saying);
    },
    forget: () => undefined,
    tell: (line) => lines.push(line),
    due,
    setOwnClock: () => undefined,
  };
  return { said, lines, ports };
}

/** As a camera shows it, fast by so much. */
const showing = (aheadS: number) => () =>
  new Date(Date.now() + aheadS * S).toISOString().replace(/[-:]/g, "").slice(0, 15);

test("free space, battery, settings, frames and the clock are read, by reading operations alone", async () => {
  camera.now.clock = showing(95);
  const { said, lines, ports } = listener();
  const source = new CameraSource(camera.address, ports, true, askGphoto, 200);
  source.start();
  const told = () => JSON.stringify({ said, lines });
  await until("frames are counted", () => said.frames === 0, { told });
  expect(said).toMatchObject({ cardFreeGB: 38, batteryPct: 73, iso: 200, fNumber: 8 });
  expect(said.exposureS).toBeCloseTo(1 / 500, 6);
  const { cameraClockS = Number.NaN, cameraClockBoundS = Number.NaN } = said;
  expect(Math.abs(cameraClockS - 95)).toBeLessThanOrEqual(cameraClockBoundS);
  camera.now.files += 2;
  Object.assign(camera.now, { freeBytes: 37.2e9, batteryPct: 72 });
  await until("two more frames", () => said.frames === 2, { told });
  expect(said).toMatchObject({ cardFreeGB: 37.2, batteryPct: 72 });
  await source.stop();
  expect(camera.operations.filter((code) => !READING.has(code))).toEqual([]);
});

test("no session is opened while it is to be left alone, and it says why", async () => {
  const before = camera.operations.length;
  let due: WhatIsDue = NOTHING_DUE;
  const { lines, ports, said } = listener(() => due);
  const source = new CameraSource(camera.address, ports, false, askGphoto, 50);
  source.start();
  await until("it waits for the run", () => lines.at(-1)?.endsWith("left alone: the run is not known"));
  due = { near: true, cameraClosed: "totality is near" };
  await until("it waits for totality to pass", () => lines.at(-1)?.endsWith("left alone: totality is near"));
  expect(camera.operations).toHaveLength(before);
  due = OPEN;
  await until("it is read", () => said.cardFreeGB !== undefined);
  await source.stop();
});

test("what is not there, does not answer, or is not installed is one sentence each", async () => {
  const lineOf = async (address: string, ask = askGphoto): Promise<string> => {
    const { lines, ports } = listener();
    const source = new CameraSource(address, ports, false, ask, 50);
    source.start();
    await until("it says so", () => lines.length > 0);
    await source.stop();
    return lines[0] ?? "";
  };
  expect(await lineOf("ptpip:127.0.0.1:9:9")).toMatch(/is not there, or is held by another program$/);
  const mute = createServer(() => undefined);
  await new Promise<void>((resolve) => mute.listen(0, "127.0.0.1", resolve));
  const { port } = mute.address() as { port: number };
  const hasty: typeof askGphoto = (address, actions, rest) =>
    askGphoto(address, actions, { ...rest, waitMs: 400 });
  expect(await lineOf(`ptpip:127.0.0.1:${port}:${port}`, hasty)).toMatch(/does not answer in time$/);
  mute.close();
  const absent: typeof askGphoto = (address, actions) =>
    askGphoto(address, actions, { program: "no-such-program" });
  expect(await lineOf("auto", absent)).toMatch(/gphoto2 is not installed/);
});

test.each(["--capture-image", "--set-config", "--delete-all-files", "--get-all-files", "--shell", "--debug"])(
  "%s is never asked for",
  (action) => {
    expect(() => askGphoto(null, [[action]])).toThrow(/never asked/);
  },
);

describe("when a camera is left alone", () => {
  const world = SiteWorld.planned();
  const { c1, c2, c3 } = world.predicted;
  const closed = (at: number) => dueNow(world.state, "west", GOOD_CLOCK, utcMs(at)).cameraClosed;

  test("from before C2−60 s to C3+60 s, and while frames are due; a session must be over by then", () => {
    expect(closed(c1 - 7200 * S)).toBeNull();
    for (const at of [c2 - 60 * S, c2 - 75 * S, c2, c3, c3 + 60 * S])
      expect([at - c2, closed(at)]).toEqual([at - c2, "totality is near"]);
    const cue = world.rig("west", c1).cues.find((one) => one.cue.action === "exposure" && one.dueMs > c1);
    if (!cue) throw new Error("the default list has no exposure in the partial phase");
    expect(closed(cue.dueMs)).toBe("frames are due");
    expect(closed(cue.fromMs - 19 * S)).toBe("frames are due");
    expect(closed(cue.toMs + S)).toBeNull();
  });

  test("in a practice by its own contacts", () => {
    const practised = SiteWorld.planned();
    const now = c1 - 30 * 86_400 * S;
    practised.practise(now, -30);
    const at = (ms: number) => dueNow(practised.state, "west", GOOD_CLOCK, utcMs(now + ms)).cameraClosed;
    expect(at(S)).toBe("totality is near");
  });
});

describe("with contacts that were shifted or called", () => {
  const closedIn = (world: SiteWorld) => (at: number) =>
    dueNow(world.state, "west", GOOD_CLOCK, utcMs(at)).cameraClosed;

  test("a camera is left alone about the old ones and the new ones", () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    const closed = closedIn(world);
    world.order({ type: "shiftContact", contact: "c2", shiftS: -60, reason: "limb" }, c2 - 900 * S);
    expect(closed(c2 - 130 * S)).toBe("totality is near");
    world.order({ type: "shiftContact", contact: "c2", shiftS: 200, reason: "a slip" }, c2 - 800 * S);
    for (const at of [c2 - 75 * S, c2, c2 + 30 * S])
      expect([at - c2, closed(at)]).toEqual([at - c2, "totality is near"]);
    world.order({ type: "shiftContact", contact: "c2", shiftS: 0, reason: "back" }, c2 - 700 * S);
    world.order({ type: "shiftContact", contact: "c3", shiftS: 100, reason: "seen" }, c2 - 700 * S);
    expect(closed(c3 + 155 * S)).toBe("totality is near");
    world.order({ type: "call", call: "totality" }, c2 + S);
    world.order({ type: "call", call: "sun returns" }, c2 + 60 * S);
    expect(closed(c3 + 59 * S)).toBe("totality is near");
  });

  test("in a practice at a rate a session must be over sooner by as much", () => {
    const world = SiteWorld.planned();
    const now = world.predicted.c1 - 30 * 86_400 * S;
    world.practise(now, -600, 20);
    // 17 s of a session are 340 s of this practice.
    expect(closedIn(world)(now + 10 * S)).toBe("totality is near");
    expect(closedIn(world)(now + S)).not.toBe("totality is near");
  });
});

test("a camera's clock lies within its bound wherever in its second it was read", () => {
  for (const offsetS of [-3600.4, 0, 12.9]) {
    for (const [asked, read, answered] of [
      [0, 0, 0],
      [0, 300, 900],
      [500, 1900, 2000],
    ] as const) {
      const shown = Math.floor(1_800_000_000 + read / 1000 + offsetS);
      const { cameraClockS = 0, cameraClockBoundS = 0 } = clockSaying(
        shown,
        1.8e12 + asked,
        1.8e12 + answered,
        10,
      );
      expect(Math.abs(cameraClockS - offsetS)).toBeLessThanOrEqual(cameraClockBoundS);
      expect(cameraClockBoundS).toBeLessThan(0.53 + (answered - asked) / 2000);
    }
  }
});
