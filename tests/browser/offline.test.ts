/**
 * Pages without a hub, in a real browser: a reload where the phone trusts the hub, the page's
 * address where it came by plain http, and a new build of the pages while one is open.
 */
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { openPhone as openTrusting, type Phone, type PhoneOptions } from "../support/trusting-chromium.ts";
import { type MovedTime, movedTime, NOON_UTC } from "./support/moved-time.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const WAIT_MS = 45_000;
/** Not a loopback name for the browser, so that plain http has no more rights than on a real phone. */
const NAME = "noonfall-test.local";

let time: MovedTime;
let hub: HubProcess;
let asked: LeadCalls;
let root: Buffer;
let secure: string;
let plain: string;
let phone: Phone | undefined;

beforeAll(async () => {
  time = movedTime(NOON_UTC);
  hub = await startHubProcess([], { clockFile: time.file });
  asked = leadCalls(hub);
  await planSite(hub);
  root = Buffer.from(await (await fetch(`${hub.url}/trust/noonfall-root.crt`)).arrayBuffer());
  secure = hub.url.replace("http:", "https:");
  plain = hub.url.replace("127.0.0.1", NAME);
});
beforeEach(async () => {
  await asked.ready();
});
afterEach(async () => {
  await phone?.close();
  phone = undefined;
});
afterAll(async () => {
  hub?.thaw();
  expect(await hub?.end()).toBe(0);
  time?.end();
});

async function openPhone(options: PhoneOptions): Promise<void> {
  phone = await openTrusting(options);
  await time.enter(phone.context);
}

async function open(url: string): Promise<Page> {
  const page = await phone!.context.newPage();
  page.setDefaultTimeout(WAIT_MS);
  await page.goto(url);
  return page;
}

async function joinAt(origin: string): Promise<Page> {
  const { url } = await asked.link("west");
  const page = await open(`${origin}${new URL(url).pathname}${new URL(url).hash}`);
  await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
  return page;
}

/** Waits until the set-up screen says how the page opens with the hub gone. */
async function untilReady(page: Page, opens: "by reload" | "by address"): Promise<void> {
  await page.locator('[data-show="setup"]').click();
  await page.locator(`[data-opens="${opens}"]`).waitFor();
}

const clockOf = (page: Page) =>
  page.evaluate(() => {
    const { siteClock } = window as Window & { siteClock?: { now(): number; boundMs(): number } };
    return siteClock ? { now: siteClock.now(), boundMs: siteClock.boundMs(), machine: Date.now() } : null;
  });

/** The page is there with its rig, tells that it is alone, and its clock runs on. */
async function runsAlone(page: Page): Promise<void> {
  await page.locator('[data-page="rig"][data-link-state="alone"]').waitFor();
  // Near a cue the run screen is all there is.
  const toRun = page.locator('[data-show="run"]');
  await toRun.or(page.locator("[data-instruction]")).first().waitFor();
  if ((await page.locator("[data-instruction]").count()) === 0) await toRun.click();
  await page.locator("[data-instruction]").waitFor();
  await expect
    .poll(async () => (await clockOf(page))?.boundMs ?? 1e9, { timeout: WAIT_MS })
    .toBeLessThan(1000);
  const clock = await clockOf(page);
  // The hub's clock came from this machine's, which has not been set meanwhile.
  expect(Math.abs((clock?.now ?? 0) - (clock?.machine ?? 0))).toBeLessThan(
    Math.max(100, clock?.boundMs ?? 0),
  );
}

describe("a phone that trusts the hub", () => {
  test("reloads with the hub dead, and its cues come due", async () => {
    await openPhone({ root });
    const page = await joinAt(secure);
    expect(await page.evaluate(() => window.isSecureContext)).toBe(true);
    await untilReady(page, "by reload");
    await page.locator('[data-show="run"]').click();
    await page.locator('[data-question="filter"] [data-word="on"]').click();
    await asked.practise("C2", -45);
    const c2Ms: number = (await asked.run()).contacts.c2.realUtcMs;
    await page.locator('[data-page="rig"][data-practice="true"]').waitFor();
    await hub.kill();
    await page.locator('[data-page="rig"][data-link-state="alone"]').waitFor();
    await page.reload();
    await runsAlone(page);
    await page.locator('[data-page="rig"][data-practice="true"]').waitFor();
    await time.passTo(c2Ms - 21_000);
    await page.locator('[data-instruction][data-cue="filter-off"][data-cue-state="now"]').waitFor();
    // What the hub has to say is never answered from what is kept.
    const asks = page.evaluate(() =>
      fetch("/api/health").then(
        () => "answered",
        () => "no answer",
      ),
    );
    expect(await asks).toBe("no answer");
    // The other two pages of this phone are there, too.
    for (const path of ["/board", "/trust"]) {
      const other = await open(`${secure}${path}`);
      await other
        .locator(path === "/trust" ? '[data-page="trust"]' : "main")
        .first()
        .waitFor();
      await other.close();
    }
    await hub.startAgain();
    await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
  });

  test("is not kept waiting by a hub that takes the call and says nothing", async () => {
    await openPhone({ root });
    const page = await joinAt(secure);
    await untilReady(page, "by reload");
    hub.freeze();
    try {
      // As long as it is frozen nothing comes from it: what is shown is what the phone holds.
      await page.reload({ waitUntil: "commit" });
      await page.locator('[data-page="rig"]').waitFor();
      await runsAlone(page);
      // Nor is who practises alone on it, opened anew in the midst of it.
      const drill = await phone!.context.newPage();
      drill.setDefaultTimeout(WAIT_MS);
      await drill.goto(`${secure}/drill`, { waitUntil: "commit" });
      await drill.locator('[data-page="drill"][data-why-not="none"]').waitFor();
      await drill.reload({ waitUntil: "commit" });
      await drill.locator('[data-segment="open"]').click();
      await drill.locator('[data-page="rig"][data-practice="true"]').waitFor();
      await drill.locator("[data-instruction]").waitFor();
      await drill.locator('[data-action="end-drill"]').click();
      await drill.locator("[data-cues]").waitFor();
      await drill.close();
    } finally {
      hub.thaw();
    }
    await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
  });

  test("can put the rig page on its home screen", async () => {
    await openPhone({ root });
    const page = await joinAt(secure);
    await untilReady(page, "by reload");
    const devtools = await phone!.context.newCDPSession(page);
    const { installabilityErrors } = await devtools.send("Page.getInstallabilityErrors");
    // A profile of its own counts as a private window there.
    expect(installabilityErrors.filter(({ errorId }) => errorId !== "in-incognito")).toEqual([]);
    const { errors } = await devtools.send("Page.getAppManifest");
    expect(errors).toEqual([]);
  });
});

describe("a phone on plain http", () => {
  test("opens the rig page by its address and in a new tab with the hub dead; a reload fails", async () => {
    await openPhone({ names: { [NAME]: "127.0.0.1" } });
    const page = await joinAt(plain);
    expect(await page.evaluate(() => window.isSecureContext)).toBe(false);
    await untilReady(page, "by address");
    await page.locator('[data-action="trust"]').waitFor();
    await hub.kill();
    await page.locator('[data-page="rig"][data-link-state="alone"]').waitFor();
    const tab = await open(`${plain}/rig`);
    await runsAlone(tab);
    // Every screen is there, though this page has never shown it.
    await tab.locator('[data-show="report"]').click();
    await tab.locator('[data-screen="report"]').waitFor();
    // As measured; the page tells its operator so. Should it work one day, the words must change.
    await expect(tab.reload()).rejects.toThrow("ERR_CONNECTION_REFUSED");
    await hub.startAgain();
    await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
  });
});

describe("a phone whose owner clicked a certificate through", () => {
  test("has no service worker, and is told what it can do", async () => {
    await openPhone({ clicksThrough: true });
    const page = await joinAt(secure);
    await untilReady(page, "by address");
    await page.goto(`${secure}/trust`);
    await page
      .locator('[data-page="trust"][data-now="unverified"] [data-gain="reload"][data-has="no"]')
      .waitFor();
  });
});
