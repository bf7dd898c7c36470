/**
 * Taps that must not get lost or doubled: the browser is killed right after one, and two phones
 * on one rig contradict each other.
 *
 * It is night at the site: an open filter under the real Sun would be all that a phone speaks of (S1).
 */
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { type MortalPhone, openMortalPhone } from "./support/mortal-phone.ts";
import { type MovedTime, movedTime, NIGHT_UTC } from "./support/moved-time.ts";
import { type LeadCalls, type LoggedEvent, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const WAIT_MS = 60_000;
/** Page and hub read one clock, ms. */
const SLACK_MS = 100;

let time: MovedTime;
let hub: HubProcess;
/** For phones that live through their test. */
let browser: Browser;
let asked: LeadCalls;
/** The newest event before the test, so that it looks at its own only. */
let seqBefore: number;

beforeAll(async () => {
  time = movedTime(NIGHT_UTC);
  hub = await startHubProcess([], { clockFile: time.file });
  browser = await launchChromium();
  asked = leadCalls(hub);
  await planSite(hub);
});
beforeEach(async () => {
  await asked.ready();
  seqBefore = (await asked.log()).at(-1)?.seq ?? 0;
});
afterEach(async () => {
  for (const phone of phones.splice(0)) await phone.close();
});
afterAll(async () => {
  await browser?.close();
  expect(await hub?.end()).toBe(0);
  time?.end();
});

const linked = (page: Page) => page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
const filterMark = (page: Page) => page.locator('[data-action="filter"]');
const filterShown = (page: Page, word: string) =>
  page.locator(`[data-action="filter"][data-filter="${word}"]`).waitFor();

async function toRun(page: Page): Promise<void> {
  await page.locator('[data-show="run"]').click();
  await page.locator('[data-screen="run"]').waitFor();
}

/** What was said of a rig's filter since the test began. */
async function filterWords(rigId: string): Promise<LoggedEvent[]> {
  return (await asked.log()).filter(
    ({ seq, payload }) => seq > seqBefore && payload.rigId === rigId && payload.filter !== undefined,
  );
}

/** Phones of one test: a page that is no longer looked at would go on drawing. */
const phones: BrowserContext[] = [];

/** A page of a phone of its own, or one more of a phone's. */
async function newPage(of?: BrowserContext): Promise<Page> {
  const context = of ?? (await browser.newContext({ viewport: { width: 390, height: 844 } }));
  if (!of) await time.enter(context);
  phones.push(context);
  const page = await context.newPage();
  page.setDefaultTimeout(WAIT_MS);
  return page;
}

describe("a browser that is killed right after a tap", () => {
  let phone: MortalPhone;
  let origin: string;

  beforeAll(async () => {
    const root = await (await fetch(`${hub.url}/trust/noonfall-root.crt`)).arrayBuffer();
    phone = await openMortalPhone(Buffer.from(root), (context) => time.enter(context));
    origin = hub.url.replace("http:", "https:");
  });
  afterAll(() => phone?.end());

  async function open(address: string, prepare?: (page: Page) => Promise<void>): Promise<Page> {
    const page = await phone.open(`${origin}${address}`, prepare);
    page.setDefaultTimeout(WAIT_MS);
    return page;
  }

  async function joinAddress(): Promise<string> {
    const { pathname, hash } = new URL((await asked.link("west")).url);
    return `${pathname}${hash}`;
  }

  /** Taps the filter, and kills the browser as soon as the page says that this was reported. */
  async function tapAndDie(page: Page): Promise<{ from: number; to: number }> {
    const from = time.now();
    await filterMark(page).click();
    await page.locator("[data-undo]").waitFor();
    await phone.kill();
    return { from, to: time.now() };
  }

  function happenedIn(event: LoggedEvent | undefined, span: { from: number; to: number }): void {
    expect(event?.observedUtcMs).toBeGreaterThan(span.from - SLACK_MS);
    expect(event?.observedUtcMs).toBeLessThan(span.to + SLACK_MS);
  }

  test("with no hub: the tap is there when the page opens again, and arrives once when the hub is back", async () => {
    await asked.say("west", { filter: "on", looked: true });
    let page = await open(await joinAddress());
    await linked(page);
    await page.locator('[data-opens="by reload"]').waitFor();
    await toRun(page);
    await filterShown(page, "on");
    await hub.kill();
    await page.locator('[data-page="rig"][data-link-state="alone"]').waitFor();

    const tapped = await tapAndDie(page);
    await phone.startAgain();
    page = await open("/rig");
    await page.locator('[data-page="rig"][data-link-state="alone"]').waitFor();
    await toRun(page);
    await filterShown(page, "off");
    expect(await page.locator("header [data-link-state]").textContent()).toMatch(/reports? waits?/);

    await hub.startAgain();
    await linked(page);
    await expect.poll(async () => (await asked.rig("west")).filter, { timeout: WAIT_MS }).toBe("off");
    const words = await filterWords("west");
    expect(words.map(({ payload }) => payload.filter)).toEqual(["on", "off"]);
    happenedIn(words[1], tapped);
    await expect.poll(() => page.locator("header [data-link-state]").textContent()).not.toMatch(/wait/);
    await filterShown(page, "off");
  });

  test("with the hub there and its answer lost: the tap is sent again, and is in the log once", async () => {
    let deaf = false;
    await asked.say("west", { filter: "on", looked: true });
    let page = await open(await joinAddress(), (tab) =>
      tab.routeWebSocket(/socket\.io/, (socket) => {
        socket.connectToServer().onMessage((message) => {
          if (!deaf) socket.send(message);
        });
      }),
    );
    await linked(page);
    await toRun(page);
    await filterShown(page, "on");
    deaf = true;
    const from = time.now();
    await filterMark(page).click();
    await expect.poll(async () => (await asked.rig("west")).filter, { timeout: WAIT_MS }).toBe("off");
    await phone.kill();
    const to = time.now();

    await phone.startAgain();
    page = await open("/rig");
    await linked(page);
    await toRun(page);
    await filterShown(page, "off");
    // A later report is sent after everything that waits, so what comes before it is all there is.
    await page.locator('[data-action="help"]').click();
    const called = async () => (await asked.rig("west")).help === true;
    await expect.poll(called, { timeout: WAIT_MS }).toBe(true);
    const words = await filterWords("west");
    expect(words.map(({ payload }) => payload.filter)).toEqual(["on", "off"]);
    happenedIn(words[1], { from, to });
  });
});

describe("a tap on a screen's name", () => {
  test("counts though a part of the page arrives between the thumb's coming down and going up", async () => {
    const page = await newPage();
    let arrive = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      arrive = resolve;
    });
    await page.route(/assets\/place-part.*\.js$/, async (route) => {
      await held;
      await route.continue();
    });
    await page.goto((await asked.link("south")).url);
    await linked(page);
    await page.locator('[data-screen="setup"]').waitFor();
    expect(await page.locator('[data-part="place"]').count()).toBe(0);
    const at = (await page.locator('[data-show="run"]').boundingBox())!;
    await page.mouse.move(at.x + at.width / 2, at.y + at.height / 2);
    await page.mouse.down();
    arrive();
    await page.locator('[data-part="place"]').waitFor();
    await page.mouse.up();
    await page.locator('[data-screen="run"]').waitFor({ timeout: 10_000 });
  });
});

describe("a key of a remote", () => {
  test("confirms the cue though a button was touched just before, and presses it no second time", async () => {
    const page = await newPage();
    await page.goto((await asked.link("west")).url);
    await linked(page);
    await toRun(page);
    await asked.say("west", { filter: "on", looked: true });
    await filterShown(page, "on");
    await asked.practise("C2", -27);
    await asked.say("west", { practiceSafe: true });
    await page.locator('[data-action="confirm"][data-cue="filter-off"]').waitFor();
    // Off by mistake and on again: the mark is what was touched last.
    for (const word of ["off", "on"]) {
      await filterMark(page).click();
      await filterShown(page, word);
    }
    const words = async () => (await filterWords("west")).slice(-2).map(({ payload }) => payload.filter);
    await expect.poll(words, { timeout: WAIT_MS }).toEqual(["off", "on"]);
    const from = (await asked.log()).at(-1)?.seq ?? 0;
    const confirmed = async () =>
      (await asked.log())
        .filter(({ seq, payload }) => seq > from && payload.cueDone)
        .map(({ payload }) => payload);
    // One right after the button has changed counts for nothing.
    await expect
      .poll(
        async () => {
          await page.keyboard.press("Enter");
          return confirmed();
        },
        { timeout: WAIT_MS, interval: 1500 },
      )
      .not.toEqual([]);
    expect(await confirmed()).toMatchObject([{ cueDone: "filter-off", filter: "off" }]);
    expect((await filterWords("west")).filter(({ seq }) => seq > from)).toHaveLength(1);
  });
});

describe("two codes scanned one right after the other", () => {
  test("are both kept", async () => {
    const page = await newPage();
    await page.goto(`${hub.url}/rig`);
    await page.locator('[data-trouble="no-rig"]').waitFor();
    const links = [await asked.link("west"), await asked.link("south")].map(({ url }) => new URL(url).hash);
    await page.evaluate((hashes) => {
      for (const hash of hashes) location.hash = hash;
    }, links);
    await page.locator("[data-names]", { hasText: "South telescope" }).waitFor();
    expect(await page.locator("[data-names]").textContent()).toBe("West telescope · South telescope");
    await expect.poll(() => new URL(page.url()).hash, { timeout: WAIT_MS }).toBe("");
    await page.reload();
    await page.locator("[data-names]", { hasText: "West telescope · South telescope" }).waitFor();
  });
});

describe("a phone whose storage neither opens nor refuses", () => {
  test("goes on without it, says so, and its taps arrive", async () => {
    const holder = await newPage();
    await holder.goto(`${hub.url}/api/health`);
    // Whoever opens it after a deletion that another page holds up waits for that one's end.
    await holder.evaluate(
      () =>
        new Promise<void>((resolve, reject) => {
          const opened = indexedDB.open("noonfall-rig", 1);
          opened.onerror = () => reject(opened.error);
          opened.onsuccess = () => {
            indexedDB.deleteDatabase("noonfall-rig").onblocked = () => resolve();
          };
        }),
    );
    const page = await newPage(holder.context());
    await page.goto((await asked.link("south")).url);
    await linked(page);
    await toRun(page);
    await page.locator('[data-action="help"]').click();
    await expect.poll(async () => (await asked.rig("south")).help, { timeout: WAIT_MS }).toBe(true);
    await page.getByRole("alert").waitFor();
  });
});

describe("a phone whose storage can be read and not written", () => {
  test("opens with the rigs that it has joined", async () => {
    const joined = await newPage();
    await joined.goto((await asked.link("south")).url);
    await linked(joined);
    await expect.poll(() => new URL(joined.url()).hash, { timeout: WAIT_MS }).toBe("");
    await joined.close();
    const page = await newPage(joined.context());
    await page.addInitScript(() => {
      IDBObjectStore.prototype.put = () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    });
    await page.goto(`${hub.url}/rig`);
    await page.locator("[data-names]", { hasText: "South telescope" }).waitFor();
  });
});

describe("two phones on one rig", () => {
  async function join(): Promise<Page> {
    const page = await newPage();
    await page.goto((await asked.link("south")).url);
    await linked(page);
    await toRun(page);
    return page;
  }

  const disputed = (page: Page) => page.locator('[data-question="disputed"]');

  test("that contradict each other: off holds on both until one operator has looked (S9)", async () => {
    const a = await join();
    const b = await join();
    await a.locator('[data-question="filter"] [data-word="on"]').click();
    for (const page of [a, b]) await filterShown(page, "on");

    await filterMark(a).click();
    for (const page of [a, b]) await filterShown(page, "off");
    await filterMark(b).click();
    for (const page of [a, b]) {
      await disputed(page).waitFor();
      await filterShown(page, "off");
    }
    expect(await asked.rig("south")).toMatchObject({ filter: "off", filterDisputed: true });

    // One more tap on the mark is no look: it only asks.
    await filterMark(b).click();
    await disputed(b).locator('[data-action="cancel"]').waitFor();
    for (const page of [a, b]) await disputed(page).waitFor();
    expect((await filterWords("south")).map(({ payload }) => payload.filter)).toEqual(["on", "off", "on"]);

    await disputed(a).locator('[data-action="say-filter"][data-word="on"]').click();
    for (const page of [a, b]) {
      await filterShown(page, "on");
      await disputed(page).waitFor({ state: "detached" });
    }
    expect(await asked.rig("south")).toMatchObject({ filter: "on", filterDisputed: false });
    const words = await filterWords("south");
    expect(words.map(({ payload: { filter, looked } }) => ({ filter, looked }))).toEqual([
      { filter: "on", looked: undefined },
      { filter: "off", looked: undefined },
      { filter: "on", looked: undefined },
      { filter: "on", looked: true },
    ]);
    const devices = words.map((word) => word.deviceId);
    expect(devices[1]).toBe(devices[0]);
    expect(devices[2]).not.toBe(devices[0]);
    expect(devices[3]).toBe(devices[0]);
  });
});
