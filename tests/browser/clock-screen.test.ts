/**
 * The lead's clock screen on a hub that knows nothing of its clock: it says so and what to do, one
 * number for one fact, and a phone whose clock contradicts is set aside and counted again (S5).
 */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { plainSocket } from "../../hub/people/plain-socket.ts";
import { PROTOCOL } from "../../shared/protocol/version.ts";
import { launchChromium } from "../support/chromium.ts";
import { signIn } from "./support/open-page.ts";
import { leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const PULSE_MS = 2000;
let hub: HubProcess;
let browser: Browser;
let page: Page;
let token: string;
const leaving: (() => void)[] = [];

beforeAll(async () => {
  hub = await startHubProcess([], { system: "silent" });
  await planSite(hub);
  ({ token } = await leadCalls(hub).link("west"));
  browser = await launchChromium();
  page = await (await browser.newContext({ viewport: { width: 1366, height: 768 } })).newPage();
  await page.goto(`${hub.url}/lead`);
  await signIn(page);
  await page.locator('[data-action="go-clock"]').click();
  await page.locator("[data-clock-source]").waitFor();
});
afterAll(async () => {
  for (const leave of leaving) leave();
  await browser?.close();
  expect(await hub?.end()).toBe(0);
});

/** A phone at the west telescope whose own clock is so far ahead of the hub's. */
function phone(deviceId: string, ownClockOffsetMs: number): void {
  const socket = plainSocket(hub.url, {
    role: "rig",
    protocol: PROTOCOL,
    deviceId,
    label: "Android phone",
    rigs: [{ id: "west", token }],
  });
  const say = () => socket.emit("pulse", { boundMs: 4, utcBoundMs: 300, armed: true, ownClockOffsetMs });
  socket.on("connect", say);
  const timer = setInterval(say, PULSE_MS);
  leaving.push(() => {
    clearInterval(timer);
    socket.disconnect();
  });
}
/** What stands after "within" before "of UTC" in the header, above the sources, and in the row in use. */
async function bounds(): Promise<(string | null | undefined)[]> {
  const texts = await Promise.all(
    ["header [data-link-state]", "[data-sum]"].map((place) => page.locator(place).textContent()),
  );
  const row = await page.locator('[data-state="inUse"] td:nth-of-type(3) bdi').textContent();
  return [...texts.map((text) => /within ([\d.]+ \S+) of UTC/.exec(text ?? "")?.[1]), row];
}
const sayOne = async () => expect.poll(async () => new Set(await bounds()).size).toBe(1);
const alerts = () => page.locator('[data-clock-source] [data-priority="caution"]');

describe("a laptop whose system says nothing of its clock", () => {
  test("is told that it does not know UTC, and the mark stands before the sources", async () => {
    await expect.poll(() => alerts().count(), { timeout: 20_000 }).toBe(1);
    expect(await alerts().textContent()).toMatch(/knows UTC only to within 1\d min/);
    await sayOne();
    const top = async (place: string) => (await page.locator(place).boundingBox())?.y ?? Number.NaN;
    expect(await top('form:has([data-action="mark"])')).toBeLessThan(await top('[data-state="inUse"]'));
  });

  test("one phone that says 90 s contradicts it until the lead sets it aside, and again when taken back", async () => {
    phone("fast-phone", 90_000);
    const row = page.locator('[data-witness="fast-phone"]');
    await row.waitFor();
    expect(await row.getAttribute("data-standing")).toBe("disagrees");
    expect(await row.textContent()).toContain("+90.0 s");
    expect(await page.locator("[data-witnesses] [data-priority]").textContent()).toContain("90.0 s");
    await row.locator('[data-action="set-aside"]').click();
    await expect.poll(() => row.getAttribute("data-standing")).toBe("set aside");
    expect(await page.locator("[data-witnesses] [data-priority]").count()).toBe(0);
    await row.locator('[data-action="count-again"]').click();
    await expect.poll(() => row.getAttribute("data-standing")).toBe("disagrees");
    await row.locator('[data-action="set-aside"]').click();
    await expect.poll(() => row.getAttribute("data-standing")).toBe("set aside");
  });

  test.each(["en", "es", "fr", "ar"])("in %s it needs no sideways scrolling on a phone", async (language) => {
    await page.setViewportSize({ width: 390, height: 844 });
    await page.locator('select[data-action="language"]').selectOption(language);
    await page.locator(`html[lang="${language}"]`).waitFor();
    const over = () =>
      page.locator("[data-clock-source]").evaluate((screen) => {
        const main = screen.parentElement as HTMLElement;
        return Math.max(screen.scrollWidth - screen.clientWidth, main.scrollWidth - main.clientWidth);
      });
    // What is drawn at the pace of frames may take one to follow the screen's new size.
    await expect.poll(over, { timeout: 30_000 }).toBeLessThanOrEqual(0);
    await page.locator('select[data-action="language"]').selectOption("en");
    await page.setViewportSize({ width: 1366, height: 768 });
  });

  test("set at the mark it is known to half a second, until the marks are forgotten", async () => {
    expect(await page.locator('[data-action="forget-marks"]').count()).toBe(0);
    await page.locator('[data-action="mark"]').click();
    await page.locator('[data-clock-source="hand"]').waitFor();
    await expect.poll(() => alerts().count(), { timeout: 20_000 }).toBe(0);
    await page.locator('[data-action="forget-marks"]').click();
    await page.locator('[data-clock-source="system"]').waitFor();
    await expect.poll(() => alerts().count(), { timeout: 20_000 }).toBe(1);
  });

  test("three phones of one mind narrow it: header, sum and row say one number, the row its own besides", async () => {
    for (const [id, by] of [
      ["a", -120],
      ["b", 60],
      ["c", 10],
    ] as const)
      phone(id, by);
    await expect.poll(() => alerts().count(), { timeout: 20_000 }).toBe(0);
    await sayOne();
    expect((await bounds())[0]).toMatch(/^0\.\d s$/);
    expect(await page.locator('[data-state="inUse"] td:nth-of-type(3)').textContent()).toContain(
      "By itself 11 min",
    );
    await expect.poll(() => page.locator("[data-witnesses] summary").textContent()).toContain("3 devices");
  });
});
