/**
 * One phone and its codes: a second one opened beside the first or over it, one that is no longer
 * good, a damaged one, one taken off; and the two pages that this leaves a phone with.
 *
 * It is night at the site: an open filter under the real Sun would be all that a phone speaks of (S1).
 */
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { type MovedTime, movedTime, NIGHT_UTC } from "./support/moved-time.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const WAIT_MS = 60_000;

let time: MovedTime;
let hub: HubProcess;
let browser: Browser;
let asked: LeadCalls;
let phone: BrowserContext;

beforeAll(async () => {
  time = movedTime(NIGHT_UTC);
  hub = await startHubProcess([], { clockFile: time.file });
  browser = await launchChromium();
  asked = leadCalls(hub);
  await planSite(hub);
});
beforeEach(async () => {
  await asked.ready();
  phone = await browser.newContext({ viewport: { width: 390, height: 844 } });
  await time.enter(phone);
});
afterEach(() => phone.close());
afterAll(async () => {
  await browser?.close();
  expect(await hub?.end()).toBe(0);
  time?.end();
});

const truth = (page: Page, word: string) =>
  page.locator(`[data-page="rig"][data-link-state="${word}"]`).waitFor();
const mark = (page: Page, rigId: string) => page.locator(`[data-action="filter"][data-rig="${rigId}"]`);
const filterIs = (page: Page, rigId: string, word: string) =>
  page.locator(`[data-action="filter"][data-rig="${rigId}"][data-filter="${word}"]`).waitFor();
const codeTrouble = (page: Page) => page.locator("[data-code-trouble]");

async function open(address: string): Promise<Page> {
  const page = await phone.newPage();
  page.setDefaultTimeout(WAIT_MS);
  await page.goto(address);
  await truth(page, "linked");
  return page;
}

/** Another code opened in the page that stands, as a phone's camera does with some browsers. */
async function scanIn(page: Page, address: string): Promise<void> {
  await page.evaluate((hash) => {
    location.hash = hash;
  }, new URL(address).hash);
}

/** Which rigs the set-up screen lists as this phone's. */
async function holds(page: Page, names: readonly string[]): Promise<void> {
  await expect
    .poll(() => page.locator("[data-names]").textContent(), { timeout: WAIT_MS })
    .toBe(names.join(" · "));
}

const toScreen = (page: Page, name: string) => page.locator(`[data-show="${name}"]`).click();

describe("two pages of one phone", () => {
  test("count its words in one row: the later word on a filter holds, and none is lost (S9)", async () => {
    const first = await open((await asked.link("west")).url);
    const second = await open((await asked.link("south")).url);
    const names = ["West telescope", "South telescope"];
    for (const page of [first, second]) {
      await holds(page, names);
      await toScreen(page, "run");
    }
    await asked.say("west", { filter: "on", looked: true });
    await filterIs(second, "west", "on");
    for (const word of ["off", "on", "off", "on"]) {
      await mark(second, "west").click();
      for (const page of [first, second]) await filterIs(page, "west", word);
    }
    // The page opened first has said nothing yet.
    await mark(first, "west").click();
    for (const page of [first, second]) await filterIs(page, "west", "off");
    await expect.poll(async () => (await asked.rig("west")).filter, { timeout: WAIT_MS }).toBe("off");

    await hub.kill();
    for (const page of [first, second]) await truth(page, "alone");
    const before = time.now();
    await mark(first, "west").click();
    for (const page of [first, second]) await filterIs(page, "west", "on");
    await second.locator('[data-question="filter"] [data-word="capped"]').click();
    await mark(second, "west").click();
    for (const page of [first, second]) {
      await filterIs(page, "west", "off");
      await filterIs(page, "south", "capped");
    }
    await hub.startAgain();
    for (const page of [first, second]) await truth(page, "linked");
    const since = async () =>
      (await asked.log())
        .filter(({ observedUtcMs, payload }) => observedUtcMs >= before - 100 && payload.filter)
        .map(({ payload }) => `${payload.rigId} ${payload.filter}`)
        .sort();
    await expect.poll(since, { timeout: WAIT_MS }).toEqual(["south capped", "west off", "west on"]);
    expect((await asked.rig("west")).filter).toBe("off");
  });

  test("sound once: the page used last", async () => {
    const first = await open((await asked.link("west")).url);
    await first.locator('[data-action="arm"] button').click();
    await first.locator('[data-page="rig"][data-armed="true"]').waitFor();
    const waiting = (page: Page) => async () =>
      (await page.evaluate(() => window.siteSounds?.filter(({ state }) => state === "scheduled").length)) ??
      0;
    await asked.practise("C2", -40);
    await expect.poll(waiting(first), { timeout: WAIT_MS }).toBeGreaterThan(0);
    const second = await open((await asked.link("south")).url);
    await holds(first, ["West telescope", "South telescope"]);
    await second.locator('[data-action="arm-now"]').click();
    await expect.poll(waiting(second), { timeout: WAIT_MS }).toBeGreaterThan(0);
    await expect.poll(waiting(first), { timeout: WAIT_MS }).toBe(0);
    await first.getByRole("banner").click();
    await expect.poll(waiting(first), { timeout: WAIT_MS }).toBeGreaterThan(0);
    await expect.poll(waiting(second), { timeout: WAIT_MS }).toBe(0);
    // A page that ends leaves its sounds to the other.
    await first.close();
    await expect.poll(waiting(second), { timeout: WAIT_MS }).toBeGreaterThan(0);
  });
});

describe("a code opened on a phone that has a rig", () => {
  test("in the same page adds its rig, and the phone stays armed", async () => {
    const page = await open((await asked.link("west")).url);
    await page.locator('[data-action="arm"] button').click();
    await page.locator('[data-page="rig"][data-armed="true"]').waitFor();
    await page.evaluate(() => {
      const root = window as Window & { disarmed?: number };
      root.disarmed = 0;
      new MutationObserver(() => {
        if (!document.querySelector('[data-page="rig"][data-armed="true"]'))
          root.disarmed = (root.disarmed ?? 0) + 1;
      }).observe(document, { attributes: true, childList: true, subtree: true });
    });
    await scanIn(page, (await asked.link("south")).url);
    await holds(page, ["West telescope", "South telescope"]);
    await truth(page, "linked");
    expect(await page.evaluate(() => (window as Window & { disarmed?: number }).disarmed)).toBe(0);
    const armed = async () =>
      (await asked.rig("south")).devices.some((device: { armed: boolean }) => device.armed);
    await expect.poll(armed, { timeout: WAIT_MS }).toBe(true);
  });

  test("that is no longer good does not part it from its rig, and it says so", async () => {
    const stale = (await asked.link("west")).url;
    await asked.order({ type: "revokeLink", rigId: "west" });
    const page = await open((await asked.link("west")).url);
    await scanIn(page, stale);
    await codeTrouble(page).waitFor();
    await truth(page, "linked");
    await holds(page, ["West telescope"]);
    expect(await page.locator("[data-refused]").count()).toBe(0);
    await codeTrouble(page).locator('[data-action="code-seen"]').click();
    await codeTrouble(page).waitFor({ state: "detached" });
    await page.reload();
    await truth(page, "linked");
    await holds(page, ["West telescope"]);
    await page.locator('[data-screen="setup"] section[data-rig="west"]').first().waitFor();
    expect(await page.locator("[data-refused], [data-code-trouble]").count()).toBe(0);
    // The newest one replaces it where the one held is the stale one.
    await asked.order({ type: "revokeLink", rigId: "west" });
    await page.locator('[data-refused="revoked"]').waitFor();
    await scanIn(page, (await asked.link("west")).url);
    await page.locator('[data-refused="revoked"]').waitFor({ state: "detached" });
    await truth(page, "linked");
  });

  test("whose link was replaced: what is said on it stands there, though no hub tells it any more", async () => {
    const page = await open((await asked.link("west")).url);
    await toScreen(page, "run");
    await asked.say("west", { filter: "on", looked: true });
    await filterIs(page, "west", "on");
    await asked.order({ type: "revokeLink", rigId: "west" });
    await page.locator('[data-refused="revoked"]').waitFor();
    await mark(page, "west").click();
    await filterIs(page, "west", "off");
    await expect.poll(async () => (await asked.rig("west")).filter, { timeout: WAIT_MS }).toBe("off");
    await page.waitForTimeout(1000);
    await filterIs(page, "west", "off");
    // A joke of a code does not take the cues away that such a phone goes on with.
    await scanIn(page, `${hub.url}/rig#west.nobodys-token`);
    await page.waitForTimeout(1500);
    await page.locator('[data-refused="revoked"]').waitFor();
    await filterIs(page, "west", "off");
  });

  test("that is damaged is told of", async () => {
    const page = await open((await asked.link("west")).url);
    await scanIn(page, `${hub.url}/rig#south.hal`);
    await codeTrouble(page).waitFor();
    await holds(page, ["West telescope"]);
    await codeTrouble(page).locator('[data-action="code-seen"]').click();
    await codeTrouble(page).waitFor({ state: "detached" });
  });
});

test("a rig taken off a phone that no hub reaches leaves it the page and its other rig", async () => {
  const page = await open((await asked.link("west")).url);
  await scanIn(page, (await asked.link("south")).url);
  await holds(page, ["West telescope", "South telescope"]);
  await truth(page, "linked");
  await toScreen(page, "setup");
  await page.locator('[data-action="leave"]').first().waitFor();
  await hub.kill();
  await truth(page, "alone");
  await page.locator('[data-action="leave"][data-rig="west"]').click();
  await holds(page, ["South telescope"]);
  await truth(page, "alone");
  await toScreen(page, "run");
  await page.locator("[data-next]").first().waitFor();
});

test("orders missed while the phone was away are counted, not shown as new, nor after a reload (L3)", async () => {
  const page = await open((await asked.link("west")).url);
  // Called to filters with one off, the phone would speak of nothing else.
  await asked.say("west", { filter: "on", looked: true });
  await toScreen(page, "run");
  await page.locator('[data-action="filter"][data-filter="on"]').waitFor();
  await phone.setOffline(true);
  await truth(page, "alone");
  await asked.order({ type: "sendMessage", text: "Clouds from the west", rigIds: null });
  await asked.order({ type: "call", call: "stay filtered" });
  await phone.setOffline(false);
  await truth(page, "linked");
  const shown = async () => ({
    missed: await page.locator('[data-missed="2"]').count(),
    asNew: await page.locator("[data-message], [data-call]").count(),
  });
  await expect.poll(shown, { timeout: WAIT_MS }).toEqual({ missed: 1, asNew: 0 });
  // What is known is written down once a second.
  await page.waitForTimeout(2500);
  await page.reload();
  await truth(page, "linked");
  await expect.poll(shown, { timeout: WAIT_MS }).toEqual({ missed: 1, asNew: 0 });
  // What is read or acknowledged in one page of a phone is so in the other.
  const other = await open(`${hub.url}/rig`);
  await other.locator('[data-missed="2"]').waitFor();
  await page.locator('[data-action="missed-seen"]').click();
  await other.locator("[data-missed]").waitFor({ state: "detached" });
  await asked.order({ type: "sendMessage", text: "Clearing", rigIds: null });
  for (const one of [page, other]) await one.locator("[data-message]").waitFor();
  expect(await page.locator("[data-missed], [data-call]").count()).toBe(0);
  await page.locator('[data-action="read"]').click();
  for (const one of [page, other]) await one.locator("[data-message]").waitFor({ state: "detached" });
});
