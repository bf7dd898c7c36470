/**
 * The lead's array in Chromium while sixty rigs report once a second each: how long its frames take, and
 * what one report costs the page's processor. The machine may have other work to do: frames are held
 * against those of an empty page that is drawn beside it, in the same browser and the same seconds.
 *
 * A frame over 50 ms is one of the browser's own long animation frames (W3C, Long Animation Frames API);
 * of those only what the page itself kept the thread busy with is the page's fault.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, CDPSession, Page } from "playwright-core";
import { launchChromium } from "../setup/launch-chromium.mjs";
import { gather, planSite } from "./hub/clients.ts";
import { PIN, startHub } from "./hub/hub-process.ts";

const RIGS = 60;
const EVERY_MS = 1000;
const MEASURED_MS = 30_000;
const LONG_MS = 50;
const SIZE = { width: 1920, height: 1080 };

interface Frames {
  /** Between two of the browser's frames, ms. */
  gaps: number[];
  /** What kept the thread busy at a stretch, where it was 50 ms or more, ms. */
  tasks: number[];
  longFrames: number[];
}

export async function run(): Promise<{ figure: string; value: number; unit: string }[]> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-bench-"));
  const hub = await startHub(folder);
  const browser = await launchChromium();
  try {
    const crowd = await gather(hub.url, await planSite(hub.url, RIGS), RIGS, 0);
    let sent = 0;
    const say = (n: number): void => {
      const id = `page-${n}-${sent++}`;
      const filter = sent % 7 === 0 ? ({ filter: "on", looked: true } as const) : {};
      const report = { batteryPct: sent % 100, cardFreeGB: 30, ...filter };
      const fact = { v: 1, rigId: `rig-${n}`, deviceSeq: sent, observedUtcMs: Date.now(), report } as const;
      crowd.rigs[n]?.emit("facts", [{ id, fact }], () => undefined);
    };
    const lead = await leadPage(browser, hub.url);
    const empty = await (await browser.newContext({ viewport: SIZE })).newPage();
    const timers: NodeJS.Timeout[] = [];
    for (let n = 0; n < RIGS; n++)
      setTimeout(() => timers.push(setInterval(() => say(n), EVERY_MS)), (n * EVERY_MS) / RIGS);
    await pause(3 * EVERY_MS);
    const devtools = await lead.context().newCDPSession(lead);
    await devtools.send("Performance.enable", { timeDomain: "threadTicks" });
    const [before, sentBefore] = [await busyMs(devtools), sent];
    const [ours, none] = await Promise.all([frames(lead), frames(empty)]);
    const perReport = ((await busyMs(devtools)) - before) / (sent - sentBefore);
    const shown = await lead.locator("[data-rig]").count();
    for (const timer of timers) clearInterval(timer);
    crowd.close();
    if (shown < RIGS) throw new Error(`the array shows ${shown} of ${RIGS} rigs`);
    const which = `lead's array, ${RIGS} rigs, ${RIGS} reports/s`;
    const figure = (what: string, value: number, unit: string) => ({
      figure: `${which}: ${what}`,
      value: Math.round(value * 100) / 100,
      unit,
    });
    return [
      figure(`frames over ${LONG_MS} ms in ${MEASURED_MS / 1000} s`, ours.longFrames.length, "frames"),
      figure(`work of the page at a stretch, ${LONG_MS} ms or more`, ours.tasks.length, "times"),
      figure("longest stretch", Math.max(0, ...ours.tasks), "ms"),
      figure("between two frames, p99", nth(ours.gaps, 0.99), "ms"),
      figure("between two frames, worst", Math.max(...ours.gaps), "ms"),
      figure("between two frames of an empty page beside it, p99", nth(none.gaps, 0.99), "ms"),
      figure("between two frames of an empty page beside it, worst", Math.max(...none.gaps), "ms"),
      figure("processor time of the page's thread a report", perReport, "ms"),
    ];
  } finally {
    await browser.close();
    await hub.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function leadPage(browser: Browser, url: string): Promise<Page> {
  const page = await (await browser.newContext({ viewport: SIZE })).newPage();
  await page.goto(`${url}/lead#array`);
  await page.fill("input[name=pin]", PIN);
  await page.keyboard.press("Enter");
  await page.waitForSelector("[data-rig]", { timeout: 60_000 });
  return page;
}

/** Watches every frame for as long as is measured: in the page's own words. */
const WATCH = `new Promise((resolve) => {
  const seen = { gaps: [], tasks: [], longFrames: [] };
  const note = (type, into) =>
    new PerformanceObserver((list) => {
      for (const { duration } of list.getEntries()) if (duration > ${LONG_MS}) into.push(duration);
    }).observe({ type });
  note("long-animation-frame", seen.longFrames);
  note("longtask", seen.tasks);
  const begun = performance.now();
  let last = begun;
  const frame = () => {
    const now = performance.now();
    seen.gaps.push(now - last);
    last = now;
    if (now - begun < ${MEASURED_MS}) requestAnimationFrame(frame);
    else resolve(seen);
  };
  requestAnimationFrame(frame);
})`;

function frames(page: Page): Promise<Frames> {
  return page.evaluate<Frames>(WATCH);
}

/** Processor time of the page's main thread so far, ms. */
async function busyMs(devtools: CDPSession): Promise<number> {
  const { metrics } = await devtools.send("Performance.getMetrics");
  const taskS = metrics.find(({ name }) => name === "TaskDuration")?.value;
  if (taskS === undefined) throw new Error("the browser does not tell its processor time");
  return taskS * 1000;
}

function nth(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
