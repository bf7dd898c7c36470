/**
 * A rig page's first load in Chromium over a throttled link (1.5 Mbit/s, 100 ms there and back):
 * when the page shows its rig, when its clock is first usable (a bound under one second), and how
 * much was carried until then. Median of five, each in a fresh profile.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { launchChromium } from "../setup/launch-chromium.mjs";
import { planSite } from "./hub/clients.ts";
import { call, startHub } from "./hub/hub-process.ts";

const RUNS = 5;
const LINK = { offline: false, latency: 100, downloadThroughput: 187_500, uploadThroughput: 187_500 };

interface Load {
  shownMs: number;
  clockMs: number;
  kB: number;
}

export async function run(): Promise<{ figure: string; value: number; unit: string }[]> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-bench-"));
  const hub = await startHub(folder);
  const browser = await launchChromium();
  try {
    const token = await planSite(hub.url, 3);
    const link = (await call(hub.url, "GET", "/api/rigs/rig-0/link", undefined, token)) as { url: string };
    const loads: Load[] = [];
    for (let n = 0; n < RUNS; n++) loads.push(await load(browser, link.url));
    const median = (key: keyof Load): number =>
      Math.round(loads.map((one) => one[key]).sort((a, b) => a - b)[Math.floor(RUNS / 2)] ?? Number.NaN);
    const where = "rig page, 1.5 Mbit/s, 100 ms";
    return [
      { figure: `${where}: first shown`, value: median("shownMs"), unit: "ms" },
      { figure: `${where}: first usable clock`, value: median("clockMs"), unit: "ms" },
      { figure: `${where}: carried until then`, value: median("kB"), unit: "kB" },
    ];
  } finally {
    await browser.close();
    await hub.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function load(browser: Browser, url: string): Promise<Load> {
  const context = await browser.newContext({
    viewport: { width: 390, height: 844 },
    hasTouch: true,
    isMobile: true,
  });
  try {
    const page = await context.newPage();
    const devtools = await context.newCDPSession(page);
    await devtools.send("Network.enable");
    await devtools.send("Network.emulateNetworkConditions", LINK);
    let bytes = 0;
    devtools.on("Network.loadingFinished", ({ encodedDataLength }) => {
      bytes += encodedDataLength;
    });
    const startedMs = performance.now();
    await page.goto(url, { waitUntil: "commit" });
    await page.waitForSelector("[data-screen]", { timeout: 60_000 });
    const shownMs = performance.now() - startedMs;
    await page.waitForFunction(
      () => ((globalThis as unknown as Partial<ClockHolder>).siteClock?.boundMs() ?? 1e9) < 1000,
      undefined,
      {
        timeout: 60_000,
        polling: 10,
      },
    );
    return { shownMs, clockMs: performance.now() - startedMs, kB: bytes / 1000 };
  } finally {
    await context.close();
  }
}

interface ClockHolder {
  siteClock: { boundMs(): number };
}
