/**
 * Loaded before the hub (node --import): the process then lives by a file's word on the time.
 *
 * TEST_CLOCK_FILE holds four 64-bit floats in the machine's byte order, read anew at every look at a
 * clock: how much is added to the wall clock (ms); how much time more than the machine knows has passed
 * since the start, on the wall, monotonic and uptime clocks alike (ms); how fast all of them run against
 * the machine's; and from which of its instants on the wall clock does (UTC ms). Timers run as they always
 * do.
 */
import fs from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import os from "node:os";

const said = new Float64Array(4);
const bytes = new Uint8Array(said.buffer);
const file = fs.openSync(process.env.TEST_CLOCK_FILE, "r");
const { readSync, readFileSync } = fs;
const look = () => {
  readSync(file, bytes, 0, bytes.length, 0);
  const [setMs, passedMs, rate, sinceMs] = said;
  return { setMs, passedMs, rate, sinceMs };
};

const wall = Date.now.bind(Date);
const movedWall = () => {
  const { setMs, passedMs, rate, sinceMs } = look();
  return Math.floor(sinceMs + (wall() - sinceMs) * rate + setMs + passedMs);
};
Date.now = movedWall;
globalThis.Date = new Proxy(Date, {
  construct: (target, args, newTarget) =>
    Reflect.construct(target, args.length === 0 ? [movedWall()] : args, newTarget),
});

/** Of a clock that counts, ms. */
const moved = (ms) => {
  const { passedMs, rate } = look();
  return ms * rate + passedMs;
};
const mono = performance.now.bind(performance);
performance.now = () => moved(mono());

const uptime = os.uptime.bind(os);
os.uptime = () => moved(uptime() * 1000) / 1000;
fs.readFileSync = (path, ...rest) => {
  const text = readFileSync(path, ...rest);
  if (path !== "/proc/uptime" || typeof text !== "string") return text;
  return `${(moved(Number.parseFloat(text) * 1000) / 1000).toFixed(2)} 0.00\n`;
};
syncBuiltinESMExports();
