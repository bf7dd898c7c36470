/**
 * S5: a phone that is away from the place its times are for. Its owner is asked for the position
 * once, inside the tap that arms it; two hours later the hub is gone and totality near, and the
 * phone knows by itself whether "Take the filter off" may be said plainly. The real run of
 * 2 August 2027, with hub and page moved to that morning. http://127.0.0.1 is a secure context
 * (W3C Secure Contexts, 3.1); the receiver is the browser's own stand-in.
 */

import { readFileSync } from "node:fs";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { circumstances } from "../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../shared/eclipse/table.ts";
import { launchChromium } from "../support/chromium.ts";
import { step } from "../support/step.ts";
import { type MovedTime, movedTime } from "./support/moved-time.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const words = (part: string): Record<string, string> =>
  JSON.parse(readFileSync(new URL(`../../console/words/en/${part}.json`, import.meta.url), "utf8"));
const [kindWords, phoneWords] = [words("kinds"), words("phone")];
const WAIT_MS = 60_000;
const SITE = { latDeg: 24.62, lonDeg: 32.6, heightM: 110 };
/** Of one degree of the meridian there, m (WGS84). */
const DEGREE_M = 110_764;
/** Digits that nothing else on the page has. */
const HERE = { latitude: 24.6203917, longitude: 32.6 };
const AWAY = { latitude: SITE.latDeg + 12_000 / DEGREE_M, longitude: 32.6 };
const BACK = { latitude: SITE.latDeg - 800 / DEGREE_M, longitude: 32.6 };
const DIGITS = [HERE, AWAY, BACK].map(({ latitude }) => String(latitude).slice(0, 7));

let time: MovedTime;
let c2: number;
let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
let context: BrowserContext;
let page: Page;
/** Whatever the page has sent to anybody. */
const sent: string[] = [];

type AskingWindow = Window & { positionAsked?: { inTap: boolean }[] };

const can = (good: boolean) => page.locator(`[data-can="position"][data-good="${good}"]`);
const filterOff = (mode: string) =>
  page.locator(`[data-instruction][data-cue="filter-off"][data-mode="${mode}"]`);

/** The phone is carried to a place, and its page is looked at again. */
async function carry(to: { latitude: number; longitude: number }): Promise<void> {
  await context.setGeolocation({ ...to, accuracy: 20 });
  await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange", { bubbles: true })));
}

function secondContact(): number {
  const elements = eclipseById("2027-08-02");
  const at = elements && circumstances(elements, SITE).contacts.c2?.utcMs;
  if (!at) throw new Error("no totality at the test's place");
  return at;
}

beforeAll(async () => {
  c2 = secondContact();
  // An hour before the first contact: no cue is near.
  time = movedTime(new Date(c2 - 7_800_000).toISOString());
  browser = await launchChromium();
  context = await browser.newContext({
    viewport: { width: 390, height: 844 },
    permissions: ["geolocation", "screen-wake-lock"],
    geolocation: { ...HERE, accuracy: 20 },
    serviceWorkers: "block",
  });
  await context.addInitScript(() => {
    const noted: { inTap: boolean }[] = [];
    (window as AskingWindow).positionAsked = noted;
    const plainly = navigator.geolocation.getCurrentPosition.bind(navigator.geolocation);
    navigator.geolocation.getCurrentPosition = (found, failed, options) => {
      noted.push({ inTap: navigator.userActivation.isActive });
      // This phone is carried 12 km in a moment: its browser must not answer from the last minute.
      plainly(found, failed, { ...options, maximumAge: 0 });
    };
  });
  await time.enter(context);
  hub = await startHubProcess([], { clockFile: time.file });
  asked = leadCalls(hub);
  await planSite(hub, { confirmed: true });
  page = await context.newPage();
  page.setDefaultTimeout(WAIT_MS);
  page.on("websocket", (socket) => socket.on("framesent", ({ payload }) => sent.push(String(payload))));
  page.on("request", (request) => sent.push(`${request.url()} ${request.postData() ?? ""}`));
  await page.goto((await asked.link("west")).url);
  await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
});
afterAll(async () => {
  hub?.thaw();
  await browser?.close();
  const code = await hub?.end();
  time?.end();
  expect(code).toBe(0);
});

async function nearTotality(): Promise<void> {
  await page.locator('[data-page="rig"][data-link-state="alone"]').waitFor();
  await time.passTo(c2 - 21_000);
  await filterOff("by-eye").waitFor();
  expect(await filterOff("by-eye").textContent()).toContain(kindWords["doubt.elsewhere"]);
  await carry(BACK);
  await filterOff("plain").waitFor();
  expect(await page.getByText(kindWords["doubt.elsewhere"] ?? "").count()).toBe(0);
  await carry(AWAY);
  await filterOff("by-eye").waitFor();
}

test("a phone away from the site's place has its filter taken off by the eye alone, and keeps its position to itself", async () => {
  await step(
    "the position is asked for inside the arming tap, once, and the page says that it stays here",
    async () => {
      await page.getByText(phoneWords["rig.arm.position"] ?? "").waitFor();
      const askings = () => page.evaluate(() => (window as AskingWindow).positionAsked ?? []);
      expect(await askings()).toEqual([]);
      await page.locator('[data-action="arm"] button').click();
      await can(true).waitFor();
      expect(await askings()).toEqual([{ inTap: true }]);
      expect(await can(true).textContent()).toBe(phoneWords["rig.can.position.known"]?.replace("{m}", "20"));
      expect(await page.locator("[data-away]").count()).toBe(0);
    },
  );

  await step("12 km away set-up says so, with the way out", async () => {
    await carry(AWAY);
    await can(false).waitFor();
    expect(await can(false).textContent()).toBe(phoneWords["rig.can.position.away"]?.replace("{km}", "12"));
    await page.locator('[data-part="place"] [data-away]').getByText("12 km").waitFor();
    await page.locator('[data-action="locate"]').click();
    await page.locator('[data-action="take-place"]').click();
    await page.locator("[data-own-place]").waitFor();
    await can(true).waitFor();
    await page.locator('[data-action="lead-place"]').click();
    await can(false).waitFor();
  });

  await step(
    "two hours later, without a hub, the filter comes off by eye only; back within 1 km, plainly",
    async () => {
      await hub.kill();
      await time.passTo(c2 - 50_000, hub);
      await hub.startAgain();
      await asked.say("west", { filter: "on", looked: true });
      await page.reload();
      await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
      // The hub has heard from its system, so that nothing but the place is in doubt.
      const boundMs = () => page.evaluate(() => window.siteClock?.utcBoundMs() ?? Number.POSITIVE_INFINITY);
      await expect.poll(boundMs, { timeout: WAIT_MS }).toBeLessThan(900);
      hub.freeze();
      try {
        await nearTotality();
      } finally {
        hub.thaw();
      }
      await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
      await filterOff("by-eye").waitFor();
    },
  );

  await step("no message, address or log has held the position", async () => {
    expect(sent.length).toBeGreaterThan(20);
    const told = [...sent, JSON.stringify(await asked.log()), JSON.stringify(await asked.run())];
    expect(told.filter((text) => DIGITS.some((digits) => text.includes(digits)))).toEqual([]);
  });
});
