/**
 * Five thousand files chosen at once in Chromium: how long the page keeps its thread busy while their
 * headers are read, told to the hub and drawn, and that it can be stopped and gone on with. What the
 * browser itself does before the page hears of the files is a figure of its own. Files are small JPEGs:
 * what is read of a file of 30 MB is the same 64 kB.
 */
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { launchChromium } from "../setup/launch-chromium.mjs";
import { planSite } from "./hub/clients.ts";
import { call, PIN, startHub } from "./hub/hub-process.ts";
import { writeCards } from "./images.ts";

const FILES = 5000;
const LONG_MS = 50;
const WAIT_MS = 180_000;
const LOOK_MS = 50;

interface Watched {
  /** Instants and lengths, ms. */
  tasks: [at: number, ms: number][];
}

export async function run(): Promise<{ figure: string; value: number; unit: string }[]> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-bench-"));
  const card = join(folder, "card");
  mkdirSync(card);
  writeCards(card, FILES);
  const hub = await startHub(join(folder, "data"));
  const browser = await launchChromium();
  try {
    const token = await planSite(hub.url, 1);
    const basis = { how: "hand", offsetS: 3.4, boundS: 0.1, utcMs: Date.UTC(2027, 7, 2, 10) };
    await call(hub.url, "POST", "/api/camera-clocks", { rigId: "rig-0", zoneMin: 120, basis }, token);
    const page = await browser.newPage({ viewport: { width: 1366, height: 900 } });
    await page.goto(`${hub.url}/lead#images`);
    await page.fill("input[name=pin]", PIN);
    await page.keyboard.press("Enter");
    await page.locator('[data-screen="images"]').waitFor();
    await page.evaluate(WATCH);

    const asked = await now(page);
    await page.locator('[data-action="choose-folder"]').setInputFiles(card);
    await page.locator("[data-reading]").waitFor({ timeout: WAIT_MS });
    const handed = await page.evaluate<number>("window.handedMs");
    for (let looks = 0; (await done(page)) < FILES / 4; looks++) {
      if (looks > WAIT_MS / LOOK_MS) throw new Error("a quarter was not read in time");
      await page.waitForTimeout(LOOK_MS);
    }
    await page.locator('[data-action="stop-reading"]').click();
    await page.locator('[data-reading="stopped"]').waitFor();
    const stopped = await now(page);
    const doneBefore = await done(page);
    await page.waitForTimeout(500);
    // The question that was on its way is answered, and no other is asked.
    if ((await done(page)) > doneBefore + 80) throw new Error("it went on though it was stopped");
    const resumed = await now(page);
    await page.locator('[data-action="go-on-reading"]').click();
    await page.locator('[data-reading="done"]').waitFor({ timeout: WAIT_MS });
    const ended = await now(page);
    await page.locator('[data-part="images-picture"] [data-rig="rig-0"]').waitFor();
    await page.waitForTimeout(2000);
    const { frames } = await call(hub.url, "GET", "/api/images", undefined, token);
    if (frames.length !== FILES) throw new Error(`${frames.length} of ${FILES} were kept`);
    const { tasks } = await page.evaluate<Watched>("window.watched");
    // Of the browser's own stretch only what came after the page had heard of the files.
    const ours = tasks.map(([at, ms]) => at + ms - Math.max(at, handed)).filter((ms) => ms >= LONG_MS);
    const figure = (what: string, value: number, unit: string) => ({
      figure: `${FILES} files chosen at once: ${what}`,
      value: Math.round(value * 10) / 10,
      unit,
    });
    const readingS = (stopped - handed + ended - resumed) / 1000;
    return [
      figure("until the browser hands them to the page", (handed - asked) / 1000, "s"),
      figure("read, told and drawn", FILES / readingS, "files/s"),
      figure(`work of the page at a stretch, ${LONG_MS} ms or more`, ours.length, "times"),
      figure("longest stretch", Math.max(0, ...ours), "ms"),
    ];
  } finally {
    await browser.close();
    await hub.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** In the page's own words: what kept its thread busy, and when it heard of the files. */
const WATCH = `
  window.watched = { tasks: [] };
  new PerformanceObserver((list) => {
    for (const { startTime, duration } of list.getEntries()) window.watched.tasks.push([startTime, duration]);
  }).observe({ type: "longtask" });
  document.addEventListener("change", () => (window.handedMs = performance.now()), { capture: true, once: true });
`;

function now(page: Page): Promise<number> {
  return page.evaluate(() => performance.now());
}

const DONE = `document.querySelector(".images-progress progress")?.value ?? 0`;

function done(page: Page): Promise<number> {
  return page.evaluate<number>(DONE);
}
