/**
 * Loaded before the hub (node --import): the process then lives by a file's word on the time.
 *
 * TEST_CLOCK_FILE holds two 64-bit floats, ms, in the machine's byte order, read anew at every look at
 * a clock: by how much the wall clock is set otherwise than the machine's, and how much time more than
 * the machine knows has passed since the start, on the wall, monotonic and uptime clocks alike.
 * Timers run as they always do.
 */
import fs from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import os from "node:os";

const said = new Float64Array(2);
const bytes = new Uint8Array(said.buffer);
const file = fs.openSync(process.env.TEST_CLOCK_FILE, "r");
const { readSync, readFileSync } = fs;
const look = () => {
  readSync(file, bytes, 0, bytes.length, 0);
  return { setMs: said[0], passedMs: said[1] };
};

const wall = Date.now.bind(Date);
const movedWall = () => {
  const { setMs, passedMs } = look();
  return wall() + setMs + passedMs;
};
Date.now = movedWall;
globalThis.Date = new Proxy(Date, {
  construct: (target, args, newTarget) =>
    Reflect.construct(target, args.length === 0 ? [movedWall()] : args, newTarget),
});

const mono = performance.now.bind(performance);
performance.now = () => mono() + look().passedMs;

const uptime = os.uptime.bind(os);
os.uptime = () => uptime() + look().passedMs / 1000;
fs.readFileSync = (path, ...rest) => {
  const text = readFileSync(path, ...rest);
  if (path !== "/proc/uptime" || typeof text !== "string") return text;
  return `${(Number.parseFloat(text) + look().passedMs / 1000).toFixed(2)} 0.00\n`;
};
syncBuiltinESMExports();
