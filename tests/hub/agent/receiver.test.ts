/** A receiver, by Debian's gpsfake (package gpsd-clients) that feeds Debian's gpsd with sentences of NMEA 0183. */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { receiverPlace } from "../../../hub/http/receiver-place.ts";
import { findProgram } from "../../../scripts/setup/debian.mjs";
import { freePort } from "../../../scripts/setup/free-port.mjs";
import { utcMs } from "../../../shared/time/instants.ts";
import { until } from "../../support/until.ts";
import { type AgentWorld, agentWorld } from "./agent-world.ts";

let world: AgentWorld;
let fake: ChildProcess | undefined;
beforeAll(async () => {
  world = await agentWorld();
});
afterAll(async () => {
  if (fake?.pid && fake.exitCode === null) {
    // With the daemon that it has started: a group of their own.
    process.kill(-fake.pid, "SIGTERM");
    await once(fake, "exit");
  }
  await world.stop();
});

/** With its checksum: XOR of all between $ and *. */
function sentence(text: string): string {
  const sum = [...text].reduce((xor, char) => xor ^ char.charCodeAt(0), 0);
  return `$${text}*${sum.toString(16).toUpperCase().padStart(2, "0")}\r\n`;
}

/** 25°30′ N, 32°36′ E, 80 m over the sea, a fix each second from now on. */
function nmea(): string {
  let text = "";
  for (let s = 0; s < 120; s++) {
    const [date, time] = new Date(Date.now() + s * 1000).toISOString().split("T") as [string, string];
    const hms = `${time.slice(0, 8).replaceAll(":", "")}.00`;
    const dmy = date.slice(8, 10) + date.slice(5, 7) + date.slice(2, 4);
    text += sentence(`GPRMC,${hms},A,2530.0000,N,03236.0000,E,0.0,0.0,${dmy},,,A`);
    text += sentence(`GPGGA,${hms},2530.0000,N,03236.0000,E,1,08,1.0,80.0,M,15.0,M,,`);
    text += sentence("GPGSA,A,3,01,02,03,04,05,06,07,08,,,,,1.8,1.0,1.5");
  }
  return text;
}

test("its place reaches the site screen, its time the hub as a witness with a bound that is no lie", async () => {
  const program = findProgram("gpsfake");
  if (!program || !findProgram("gpsd"))
    throw new Error("gpsfake or gpsd is missing: install Debian's packages gpsd and gpsd-clients.");
  const port = await freePort();
  const log = join(world.folder("nmea"), "walk.nmea");
  writeFileSync(log, nmea());
  fake = spawn(program, ["-n", "-c", "0.3", "-P", String(port), log], { stdio: "ignore", detached: true });
  await world.agent("west", ["--gps", `127.0.0.1:${port}`]);
  const rig = await world.untilRig(
    "its place is known",
    "west",
    ({ receiverLatDeg }) => receiverLatDeg !== null,
  );
  expect(rig).toMatchObject({ receiverLatDeg: 25.5, receiverLonDeg: 32.6 });
  expect(rig.from.receiverLatDeg).toMatchObject({ by: "instrument", instrument: "receiver" });
  const { state } = world.hub.parts.keeper;
  expect(receiverPlace(state, world.hub.clock.now())).toMatchObject({ latDeg: 25.5, lonDeg: 32.6 });
  expect(receiverPlace(state, utcMs(world.hub.clock.now() + 7 * 3_600_000))).toBeUndefined();
  // Messages alone come late by an unknown part of a second: half a second of bound, and the way to the hub.
  const witness = await until("it is a witness", () =>
    world.hub.clock
      .status()
      .witnesses.devices.find(({ label, boundMs }) => /^agent on/.test(label) && (boundMs ?? 0) > 500),
  );
  expect(witness.boundMs).toBeLessThan(700);
});
