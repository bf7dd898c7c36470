/**
 * One at a time: two starts of the same folder must not install or build into each other. The
 * turn is a file with the holder's process number, touched every second; a holder that is gone,
 * or whose file has not been touched for long (a number may be in use again after a power cut),
 * loses it.
 */
import { mkdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";

const STALE_MS = 30_000;

/**
 * Waits for the turn, runs the work and hands the turn on.
 * @template T @param {string} file @param {() => Promise<T>} work
 * @param {{waitMs?: number, say?: (text: string) => void}} [options]
 * @returns {Promise<T>} rejects when the turn does not come in time (default 30 minutes)
 */
export async function inTurn(file, work, options = {}) {
  const say = options.say || console.log;
  const deadline = Date.now() + (options.waitMs ?? 30 * 60_000);
  mkdirSync(dirname(file), { recursive: true });
  for (let told = false; !take(file); ) {
    if (Date.now() > deadline) throw new Error(`Another Noonfall is still setting up (${file}).`);
    if (!told) say("Waiting for another Noonfall that is setting up this folder …");
    told = true;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  const beat = setInterval(() => {
    try {
      utimesSync(file, new Date(), new Date());
    } catch {
      // Somebody removed it by hand; the work goes on.
    }
  }, 1000);
  const release = () => {
    clearInterval(beat);
    rmSync(file, { force: true });
  };
  process.once("exit", release);
  try {
    return await work();
  } finally {
    process.off("exit", release);
    release();
  }
}

/** @param {string} file */
function take(file) {
  try {
    writeFileSync(file, String(process.pid), { flag: "wx" });
    return true;
  } catch (error) {
    if (/** @type {NodeJS.ErrnoException} */ (error).code !== "EEXIST") throw error;
  }
  try {
    const holder = Number(readFileSync(file, "utf8"));
    const ageMs = Date.now() - statSync(file).mtimeMs;
    if (ageMs > STALE_MS || (holder > 0 && !isAlive(holder))) rmSync(file, { force: true });
  } catch {
    // It went away between the two looks: try again.
  }
  return false;
}

/** @param {number} pid */
function isAlive(pid) {
  if (pid === process.pid) return true;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return /** @type {NodeJS.ErrnoException} */ (error).code === "EPERM";
  }
}
