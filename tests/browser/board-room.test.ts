/** The board's room: nothing on it touches anything else, in both directions of writing, and a wall is used. */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { badTargets, sidewaysOverflow, violations } from "./support/page-checks.ts";
import { planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

let hub: HubProcess;
let browser: Browser;

beforeAll(async () => {
  hub = await startHubProcess();
  browser = await launchChromium();
  await planSite(hub);
});

afterAll(async () => {
  await browser?.close();
  await hub?.end();
});

const SIZES = [
  [360, 640],
  [390, 844],
  [820, 1180],
  [1366, 768],
  [1920, 1080],
] as const;

/** Where a thing's ink is on the page; of a text its letters' box. */
const box = (page: Page, selector: string, nth = 0) => page.locator(selector).nth(nth).boundingBox();

describe.each(["en", "es", "ar"])("the board in %s, months before", (locale) => {
  let page: Page;
  beforeAll(async () => {
    const context = await browser.newContext({ locale, serviceWorkers: "block", reducedMotion: "reduce" });
    page = await context.newPage();
    await page.goto(`${hub.url}/board`);
    await page.locator('[data-page="board"][data-link="linked"] [data-figures]').waitFor();
  });
  afterAll(() => page.context().close());

  test.each(SIZES)(
    "at %i × %i: labels clear of totality's box and of each other, figures on the side of their words",
    async (width, height) => {
      await page.setViewportSize({ width, height });
      const totality = await box(page, "[data-inner]");
      const labels = await page.locator("[data-contact]").all();
      expect(labels).toHaveLength(4);
      const places = (await Promise.all(labels.map((label) => label.boundingBox()))).sort(
        (a, b) => (a?.x ?? 0) - (b?.x ?? 0),
      );
      for (const [index, place] of places.entries()) {
        expect(place?.y).toBeGreaterThanOrEqual((totality?.y ?? 0) + (totality?.height ?? 0));
        const beside = places.slice(index + 1).filter((one) => Math.abs((one?.y ?? 0) - (place?.y ?? 0)) < 8);
        for (const next of beside)
          expect((place?.x ?? 0) + (place?.width ?? 0)).toBeLessThanOrEqual(next?.x ?? 0);
        expect(place?.x).toBeGreaterThanOrEqual(0);
        expect((place?.x ?? 0) + (place?.width ?? 0)).toBeLessThanOrEqual(width);
      }
      const [stroke, word] = [await box(page, "[data-up=stroke]"), await box(page, "[data-up=word]")];
      expect(word?.x).toBeGreaterThan((stroke?.x ?? 0) + (stroke?.width ?? 0));
      const [headline, figures] = [await box(page, "h1"), await box(page, "[data-figures]")];
      const start = (one: typeof figures) =>
        locale === "ar" ? width - (one?.x ?? 0) - (one?.width ?? 0) : one?.x;
      expect(start(figures)).toBeCloseTo(start(headline) ?? Number.NaN, -1);
      const when = await box(page, "[data-when]");
      expect(when?.y).toBeGreaterThanOrEqual((figures?.y ?? 0) + (figures?.height ?? 0) - 1);
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
    },
  );

  test("with text of twice the size nothing is cut off or lies outside a narrow phone", async () => {
    await page.setViewportSize({ width: 360, height: 640 });
    await page.evaluate(() => document.documentElement.style.setProperty("font-size", "200%"));
    try {
      expect(await sidewaysOverflow(page)).toEqual([]);
      expect(await badTargets(page)).toEqual([]);
    } finally {
      await page.evaluate(() => document.documentElement.style.removeProperty("font-size"));
    }
  });

  // As a phone with a notch says it, on its side (env(), CSS Environment Variables Module Level 1).
  test("keeps clear of a notch and of a bar to swipe", async () => {
    const devtools = await page.context().newCDPSession(page);
    await page.setViewportSize({ width: 844, height: 390 });
    const insets = { top: 50, left: 60, right: 60, bottom: 40 };
    await devtools.send("Emulation.setSafeAreaInsetsOverride", { insets });
    try {
      for (const text of await page.locator("h1, header p, .board-safety, footer p").all()) {
        const place = await text.boundingBox();
        expect(place?.x).toBeGreaterThanOrEqual(insets.left);
        expect((place?.x ?? 0) + (place?.width ?? 0)).toBeLessThanOrEqual(844 - insets.right);
        expect(place?.y).toBeGreaterThanOrEqual(insets.top);
      }
    } finally {
      await devtools.send("Emulation.setSafeAreaInsetsOverride", { insets: {} });
      await devtools.detach();
    }
  });

  test("a wall of 1920 × 1080 is read as a whole, in figures larger than a tenth of its height, the Sun than a third", async () => {
    await page.setViewportSize({ width: 1920, height: 1080 });
    expect(await page.evaluate(() => document.documentElement.scrollHeight)).toBeLessThanOrEqual(1080);
    expect((await box(page, "[data-figures]"))?.height).toBeGreaterThan(200);
    expect((await box(page, "svg:has([data-up])"))?.height).toBeGreaterThan(360);
  });
});

test("a board whose files are refused at first shows itself when they come, and asked for sound stays what it is", async () => {
  const page = await browser.newPage({ locale: "en", serviceWorkers: "block" });
  const broken: string[] = [];
  page.on("pageerror", (error) => broken.push(error.message));
  const refused: string[] = [];
  let refuses = /\/open-board-/;
  await page.route("**/assets/**", (route) => {
    const url = route.request().url();
    if (!refuses.test(url)) return route.continue();
    refused.push(url);
    return route.fulfill({ status: 404, body: "Nothing here." });
  });
  await page.goto(`${hub.url}/board`);
  await expect.poll(() => refused.length).toBeGreaterThan(0);
  refuses = /\/field-sound-/;
  const board = page.locator('[data-page="board"][data-link="linked"]');
  await board.locator("[data-figures]").waitFor();
  refused.length = 0;
  await page.locator('[data-action="sound"]').click();
  await expect.poll(() => refused.length).toBeGreaterThan(0);
  await page.waitForTimeout(300);
  expect(await board.locator("[data-figures]").isVisible()).toBe(true);
  expect(broken).toEqual([]);
  await page.close();
});

describe("a marshal's page", () => {
  const asLead = async (method: string, path: string, body?: object) =>
    hub.call(method, path, body, { Authorization: `Bearer ${await hub.leadToken()}` });
  const linkOf = ({ url }: { url: string }) => `${hub.url}/marshal${new URL(url).hash}`;

  test("keeps a tap while the hub is away, sends it once with when it was, and hears “on it”; a new link ends it", async () => {
    const context = await browser.newContext({ viewport: { width: 360, height: 640 }, locale: "en" });
    const page = await context.newPage();
    await page.goto(linkOf(await asLead("GET", "/api/marshals/link")));
    const marshal = page.locator('[data-page="marshal"]');
    await page.locator('[data-page="marshal"][data-link="linked"] [data-phase]').waitFor();
    expect(await violations(page)).toEqual([]);
    expect(await badTargets(page)).toEqual([]);
    await page.evaluate(() => document.documentElement.style.setProperty("font-size", "200%"));
    expect(await sidewaysOverflow(page)).toEqual([]);
    await page.evaluate(() => document.documentElement.style.removeProperty("font-size"));
    expect(await page.getByText("Never glasses with optics").count()).toBe(1);

    await context.setOffline(true);
    await page.getByLabel("Where").fill("gate");
    await page.getByRole("button", { name: "Child alone" }).dblclick();
    const report = page.locator("[data-report]");
    await page.locator('[data-report-state="waiting"]').waitFor();
    expect(await report.count()).toBe(1);
    const tapped = Date.now();
    await page.waitForTimeout(1500);
    await context.setOffline(false);
    await page.locator('[data-report-state="arrived"][data-mine="true"]').waitFor();
    const { reports } = await asLead("GET", "/api/marshals/desk");
    expect(reports).toMatchObject([{ matter: "child", place: "gate", answer: null }]);
    expect(Math.abs(reports[0].atUtcMs - tapped)).toBeLessThan(1000);
    await asLead("POST", `/api/marshals/reports/${reports[0].id}/answer`, { answer: "on it" });
    await page.locator('[data-report-state="onIt"]').getByText("on it").waitFor();
    // Nothing of it is for the public.
    expect(JSON.stringify(await hub.call("GET", "/api/board"))).not.toMatch(/gate|child/);

    const renewed = await asLead("POST", "/api/marshals/link", {});
    await page.getByText("This link is not good any more.").waitFor();
    expect(await marshal.getAttribute("data-link")).toBe("alone");
    // Scanned into the same page, of which then the address alone changes.
    await page.evaluate((hash) => {
      location.hash = hash;
    }, new URL(renewed.url).hash);
    await page.locator('[data-page="marshal"][data-link="linked"] [data-mine="true"]').waitFor();
    await context.close();
  });
});
