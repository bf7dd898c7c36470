/** Starts the Chromium of benches and pictures, with a fresh profile. */
import { chromium } from "playwright-core";
import { CHROMIUM_FLAGS, findChromium } from "./chromium.mjs";

/** Throws where there is none. @returns {Promise<import("playwright-core").Browser>} */
export async function launchChromium() {
  const executablePath = findChromium();
  if (!executablePath) throw new Error("Chromium is missing: apt-get install chromium");
  return chromium.launch({ executablePath, args: CHROMIUM_FLAGS });
}
