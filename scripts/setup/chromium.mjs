/** Finds the Chromium that browser tests run in, and on Debian installs it when it is not there. */
import { existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { runProgram } from "./run-program.mjs";

/** A Chromium that fetches nothing by itself, for tests, benches and pictures. */
export const CHROMIUM_FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

const NAMES = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"];
const PLACES = [
  "/usr/bin/chromium",
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
  "C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe",
  "C:\\Program Files (x86)\\Google\\Chrome\\Application\\chrome.exe",
];

/** NOONFALL_CHROMIUM, the usual places, then PATH. @returns {string | undefined} */
export function findChromium() {
  const named = process.env.NOONFALL_CHROMIUM;
  if (named) return existsSync(named) ? named : undefined;
  const usual = PLACES.find((place) => existsSync(place));
  if (usual) return usual;
  const ending = process.platform === "win32" ? ".exe" : "";
  for (const folder of (process.env.PATH || "").split(delimiter)) {
    for (const name of NAMES) {
      const file = join(folder, name + ending);
      if (folder && existsSync(file)) return file;
    }
  }
  return undefined;
}

/** @returns {Promise<{ok: true, path: string} | {ok: false, message: string}>} */
export async function ensureChromium() {
  let path = findChromium();
  if (!path && !process.env.NOONFALL_CHROMIUM && canInstall()) {
    console.log("Installing Chromium for the browser tests …");
    await aptInstall(["chromium"]);
    path = findChromium();
  }
  if (path) return { ok: true, path };
  return {
    ok: false,
    message:
      "The browser tests need Chromium. On Debian: `apt-get install chromium`; elsewhere install " +
      "Chromium, or set NOONFALL_CHROMIUM to the file of one that is there.",
  };
}

/** Whether this is a Debian where we may install packages. */
export function canInstall() {
  return process.platform === "linux" && process.getuid?.() === 0 && existsSync("/usr/bin/apt-get");
}

/** @param {string[]} packages */
export async function aptInstall(packages) {
  const env = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
  const options = { env, timeoutMs: 10 * 60_000 };
  const install = ["install", "-y", "-qq", "--no-install-recommends", ...packages];
  await runProgram("apt-get", ["update", "-qq"], options);
  return (await runProgram("apt-get", install, options)).code === 0;
}
