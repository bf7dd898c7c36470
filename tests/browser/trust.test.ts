/** The trust page in a real browser: what a phone has, the steps, the check, and the way on. */
import { createHash, X509Certificate } from "node:crypto";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { openPhone, type Phone } from "../support/trusting-chromium.ts";
import { leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

/** Not a loopback name for the browser, so that plain http has no more rights than on a real phone. */
const NAME = "noonfall-test.local";
const NAMES = { [NAME]: "127.0.0.1" };
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

let hub: HubProcess;
let root: Buffer;
let secure: string;
let plain: string;
let phone: Phone | undefined;

beforeAll(async () => {
  hub = await startHubProcess();
  await planSite(hub);
  root = Buffer.from(await (await fetch(`${hub.url}/trust/noonfall-root.crt`)).arrayBuffer());
  secure = hub.url.replace("http:", "https:");
  plain = hub.url.replace("127.0.0.1", NAME);
});
afterEach(async () => {
  await phone?.close();
  phone = undefined;
});
afterAll(async () => {
  expect(await hub?.end()).toBe(0);
});

async function open(url: string): Promise<Page> {
  const page = await phone!.context.newPage();
  page.setDefaultTimeout(30_000);
  await page.goto(url);
  return page;
}

/** WCAG 2.2 A and AA by the rules of axe-core. */
async function violations(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const { axe: checker } = window as unknown as { axe: { run(options: object): Promise<any> } };
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
    const { violations: found } = await checker.run({ runOnly: tags });
    return found.map((item: any) => `${item.id}: ${item.nodes.map((node: any) => node.target).join(", ")}`);
  });
}

describe("a phone that does not trust the hub yet", () => {
  test("sees what plain http costs, the steps, and the fingerprint of the very file it downloads", async () => {
    phone = await openPhone({ names: NAMES });
    const page = await open(`${plain}/trust`);
    await page.locator('[data-page="trust"][data-now="http"][data-tier="local authority"]').waitFor();
    const has = (gain: string) => page.locator(`[data-gain="${gain}"]`).getAttribute("data-has");
    expect(await has("cues")).toBe("yes");
    for (const gain of ["reload", "screen", "install", "place"]) expect(await has(gain)).toBe("no");
    // What the browser itself gives a page there.
    expect(await page.evaluate(() => "wakeLock" in navigator || "serviceWorker" in navigator)).toBe(false);
    await page.locator('[data-check="bad"]').waitFor();
    const shown = await page.locator("[data-fingerprint]").getAttribute("data-fingerprint");
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.locator('[data-action="download-root"]').click(),
    ]);
    const file = readFileSync(await download.path());
    expect(download.suggestedFilename()).toBe("noonfall-root.crt");
    const hash = createHash("sha256").update(file).digest("hex").toUpperCase();
    expect(shown?.replaceAll(":", "")).toBe(hash);
    expect(hub.printed()).toContain(shown?.slice(0, 48));
    expect(new X509Certificate(file).ca).toBe(true);
  });

  test("is told honestly that from here an IPv6 address cannot be tried", async () => {
    phone = await openPhone({ names: NAMES });
    const page = await phone.context.newPage();
    page.setDefaultTimeout(30_000);
    const address = "https://[fd00::4]:8620";
    const reach = await (await fetch(`${hub.url}/api/reach`)).json();
    await page.route("**/api/reach", (route) =>
      route.fulfill({ json: { ...reach, secureOrigins: [address] } }),
    );
    await page.goto(`${plain}/trust`);
    await page.locator('[data-check="cannot tell"]').waitFor();
    expect(await page.locator('[data-action="look-secure"]').getAttribute("href")).toBe(`${address}/trust`);
    // The steps are there, nothing claims distrust, and nothing offers to try what cannot be tried.
    await page.locator('[data-action="download-root"]').waitFor();
    expect(await page.locator('[data-action="check-trust"]').count()).toBe(0);
  });

  test("is walked through the steps of its own kind, in its own language", async () => {
    phone = await openPhone({ names: NAMES });
    const page = await open(`${plain}/trust`);
    await page.locator('[data-kind="iphone"]').click();
    await page.locator('[data-steps="iphone"]').waitFor();
    expect(await page.locator("[data-steps] ol").textContent()).toMatch(/Certificate Trust Settings/);
    await page.locator('[data-kind="android"]').click();
    expect(await page.locator("[data-steps] ol").textContent()).toMatch(/CA certificate/);
    expect(await violations(page)).toEqual([]);
    await page.locator("select").selectOption("ar");
    await page.locator('html[dir="rtl"]').waitFor();
    expect(await violations(page)).toEqual([]);
  });
});

describe("a phone that trusts the hub", () => {
  test("is found out by the check and goes on at https with the rigs it has joined", async () => {
    phone = await openPhone({ root, names: NAMES });
    const { url, token } = await leadCalls(hub).link("west");
    const joined = await open(`${plain}/rig${new URL(url).hash}`);
    await joined.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
    await joined.locator('[data-show="setup"]').click();
    await joined.locator('[data-action="trust"]').click();
    await joined.locator('[data-check="ok"]').waitFor();
    const go = joined.locator('[data-action="go-secure"]');
    expect(await go.getAttribute("href")).toBe(`${secure}/rig#west.${token}`);
    await go.click();
    await joined.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
    expect(new URL(joined.url()).origin).toBe(secure);
    expect(joined.url()).not.toContain(token);
  });

  test("is told on https that it has everything", async () => {
    phone = await openPhone({ root });
    const page = await open(`${secure}/trust`);
    await page.locator('[data-page="trust"][data-now="trusted"]').waitFor();
    const has = await page
      .locator("[data-gain]")
      .evaluateAll((items) => items.map((item) => item.getAttribute("data-has")));
    expect(has).toEqual(["yes", "yes", "yes", "yes", "yes"]);
    await page.evaluate(() => localStorage.setItem("noonfall.palette", "dusk"));
    await page.reload();
    await page.locator('html[data-palette="dusk"] [data-page="trust"][data-now="trusted"]').waitFor();
    expect(await violations(page)).toEqual([]);
  });
});
