/**
 * The board as a relay serves it, in a browser: it opens no socket, checks what it is told by the key of
 * its address, counts on its own clock, and says glasses on when nothing true arrives any more.
 */
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { type Part, startRelay } from "../support/crowd-field.ts";
import { until } from "../support/until.ts";
import { type MovedTime, movedTime } from "./support/moved-time.ts";
import { violations } from "./support/page-checks.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

/** C2 of the plan below is at 10:02:08 UTC, totality of more than six minutes. */
const BEGINS = "2027-08-02T09:58:00Z";
const PLAN = {
  group: "Meridian Field Group",
  eclipse: "2027-08-02",
  site: { name: "Palm Field", latDeg: 25.69, lonDeg: 32.64, heightM: 80, confirmed: true },
  rigs: [
    { id: "west", name: "West telescope", kind: "tracked-telescope", operator: "Ada", focalLengthMm: 480 },
  ],
};
const SIZES = [
  [360, 640],
  [820, 1180],
  [1366, 768],
  [1920, 1080],
] as const;

let time: MovedTime;
let hub: HubProcess;
let relay: Part;
let browser: Browser;
let context: BrowserContext;
let page: Page;
let key = "";
let token = "";
const sockets: string[] = [];
const order = (what: object, id: string) =>
  hub.call("POST", "/api/orders", { id, order: what }, { Authorization: `Bearer ${token}` });
const board = (attribute: string) => page.locator('[data-page="board"]').getAttribute(`data-${attribute}`);

beforeAll(async () => {
  time = movedTime(BEGINS);
  hub = await startHubProcess([], { clockFile: time.file });
  token = await hub.leadToken();
  await hub.call("PUT", "/api/plan", PLAN, { Authorization: `Bearer ${token}`, "If-Match": '"plan-0"' });
  ({ key } = await hub.call("GET", "/api/board"));
  [relay, browser] = await Promise.all([startRelay(hub.url, { clockFile: time.file }), launchChromium()]);
  await until("the relay has the plan", async () => {
    const answer = await fetch(`${relay.url}/api/board`);
    return answer.ok && ((await answer.json()) as { siteName: string }).siteName === "Palm Field";
  });
  context = await browser.newContext({ locale: "en", serviceWorkers: "block" });
  await time.enter(context);
  page = await context.newPage();
  page.on("websocket", (socket) => sockets.push(socket.url()));
  page.on("request", (request) => request.url().includes("socket.io") && sockets.push(request.url()));
  await page.goto(`${relay.url}/board#key=${key}`);
});
afterAll(async () => {
  await browser?.close();
  await relay?.kill();
  await hub?.end();
  time?.end();
});

describe("the board of a relay", () => {
  test("is linked without a socket, checked, and clean for axe at every size", async () => {
    await page.locator('[data-page="board"][data-link="linked"] [data-figures]').waitFor();
    expect(await board("glasses")).toBe("on");
    expect(await page.locator(".board-unchecked").count()).toBe(0);
    for (const [width, height] of SIZES) {
      await page.setViewportSize({ width, height });
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
      if (width >= 1366)
        expect(await page.evaluate(() => document.documentElement.scrollHeight)).toBeLessThanOrEqual(height);
    }
    expect(await violations(page)).toEqual([]);
    expect(sockets).toEqual([]);
  });

  test("says glasses off only when totality is called, and on again when the relay has died", async () => {
    await time.passTo(Date.parse("2027-08-02T10:02:11Z"), hub);
    await until("totality is due", async () => (await board("phase")) === "due");
    expect(await board("glasses")).toBe("on");
    await order({ type: "call", call: "totality" }, "relay-1");
    await until("glasses may be off", async () => (await board("glasses")) === "off");
    const said = page.locator('[aria-live="assertive"]');
    expect(await said.textContent()).toMatch(/Glasses off/);
    await relay.kill();
    await time.passTo(time.now() + 12_500, hub);
    await until("they are on again", async () => (await board("glasses")) === "on");
    expect(await board("link")).toBe("alone");
    await relay.startAgain();
    await until("it is heard again", async () => (await board("glasses")) === "off");
    await order({ type: "cover" }, "relay-2");
    await page.locator("#cover-screen-words").waitFor();
    await order({ type: "releaseCover" }, "relay-3");
  });

  test("speaks to the field once a tap has unlocked it: counts in and says glasses on in each language, and writes it", async () => {
    const button = (name: string) => page.getByRole("button", { name, exact: true });
    await button("Sound").click();
    const panel = page.getByRole("region", { name: "Sound for the field" });
    await panel.getByLabel("Español").check();
    expect(await panel.getByRole("status").textContent()).toBe("Sound is off.");
    await button("Start sound").click();
    await panel.getByText("Sound is on.").waitFor();
    expect(await page.evaluate(() => window.siteAudio?.().state)).toBe("running");
    expect(await violations(page)).toEqual([]);
    await button("Close").click();
    await order({ type: "call", call: "totality" }, "relay-4");
    await until("glasses may be off", async () => (await board("glasses")) === "off");
    const { contacts } = await hub.call("GET", "/api/board");
    const onUtcMs = contacts.safeC3 - 15_000;
    // In so long a leap what it held has run out: it says glasses on until it has asked.
    await time.passTo(onUtcMs - 15_000, hub);
    const pageNow = () => page.evaluate(() => window.siteClock?.now() ?? 0);
    await until(
      "glasses may be off again",
      async () => (await pageNow()) > onUtcMs - 7000 && (await board("glasses")) === "off",
    );
    // What it said meanwhile may still stand as a caption: that of the coming instant is meant.
    await until("glasses are on", async () => (await board("glasses")) === "on");
    await page.locator('[data-caption="es"]').getByText("Gafas puestas.").waitFor();
    expect(await board("glasses")).toBe("on");
    const sounds = await page.evaluate(() => [...(window.siteSounds ?? [])]);
    const heard = sounds.filter(({ state, atUtcMs }) => state === "sounded" && atUtcMs > onUtcMs - 4000);
    expect(heard.filter(({ kind }) => kind === "pip").map(({ id }) => id)).toContain("pip-1/glasses");
    const said = heard.filter(({ id }) => id.startsWith("glassesOn/"));
    expect(said.map(({ id }) => id.split("/")[1]).slice(0, 2)).toEqual(["en", "es"]);
    // Never later than the hub's own instant; the relay's clock is said to be good to half a second.
    expect(onUtcMs - (said[0]?.atUtcMs ?? 0)).toBeGreaterThanOrEqual(0);
    expect(onUtcMs - (said[0]?.atUtcMs ?? 0)).toBeLessThan(2000);
    // Clips of the page's own, on the audio clock.
    expect(said.every(({ audioTime }) => audioTime !== null)).toBe(true);
  });

  test("cut off from the site by something false, it says so instead of that it hears nothing", async () => {
    const own = await context.newPage();
    await own.goto(`${relay.url}/board#key=${key}`);
    await own.locator('[data-page="board"][data-link="linked"]').waitFor();
    await own.route("**/api/board", async (route) => {
      const answer = await route.fetch();
      const text = (await answer.text()).replace('"stayFiltered":false', '"stayFiltered":true');
      await route.fulfill({ response: answer, status: 200, body: text === "" ? "{}" : text });
    });
    await time.passTo(time.now() + 95_000, hub);
    await own.locator('[data-page="board"][data-link="alone"] [data-trouble="altered"]').waitFor();
    expect(await own.locator('[data-page="board"]').getAttribute("data-glasses")).toBe("on");
    await own.close();
  });

  test("shows nothing of a document that another key has signed, and says so", async () => {
    const other = await context.newPage();
    await other.goto(`${relay.url}/board#key=${key.startsWith("A") ? "B" : "A"}${key.slice(1)}`);
    await other.locator('[data-trouble="other site"]').waitFor();
    expect(await other.getByText("Nothing true has arrived yet.").count()).toBe(1);
    expect(await other.locator('[data-page="board"]').getAttribute("data-glasses")).toBe("on");
    expect(await other.getByText("Palm Field").count()).toBe(0);
    await other.close();
  });

  test("stands in the frame of another site only once a lead has named that, from hub and relay alike", async () => {
    const sites = [relay.url, hub.url];
    const server = createServer((request, response) => {
      const from = sites[Number(request.url?.slice(1))] ?? "";
      response.setHeader("Content-Type", "text/html");
      response.end(`<!doctype html><title>club</title><iframe src="${from}/board#key=${key}"></iframe>`);
    });
    await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
    // Another name than the board's: another site for a browser.
    const origin = `http://localhost:${(server.address() as AddressInfo).port}`;
    const shows = async (n: number): Promise<boolean> => {
      // The page may be kept for half a minute, and with it who may show it: a browser that has none.
      const visitor = await browser.newContext({ locale: "en", serviceWorkers: "block" });
      await time.enter(visitor);
      const club = await visitor.newPage();
      await club.goto(`${origin}/${n}`);
      const shown = club.frameLocator("iframe").locator('[data-page="board"][data-link="linked"]');
      const came = await shown.waitFor({ timeout: 3000 }).then(
        () => true,
        () => false,
      );
      await visitor.close();
      return came;
    };
    const embed = async (hosts: string[]) => {
      const set = { embed: hosts, address: null };
      await hub.call("PUT", "/api/crowd", set, { Authorization: `Bearer ${token}` });
      await until("the relay has it", async () => {
        const policy = (await fetch(`${relay.url}/board`)).headers.get("Content-Security-Policy") ?? "";
        return policy.includes(`frame-ancestors ${hosts[0] ?? "'none'"}`);
      });
    };
    try {
      expect(await Promise.all([shows(0), shows(1)])).toEqual([false, false]);
      await embed([origin]);
      expect(await Promise.all([shows(0), shows(1)])).toEqual([true, true]);
      await embed([]);
    } finally {
      server.close();
    }
  });
});
