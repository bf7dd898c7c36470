/**
 * "Arm this phone": one tap asks for everything, the page says what this phone can and cannot do,
 * the lead sees which phones are armed, and a phone is armed again after it was hidden, after the
 * browser took its wake lock and after a reload. What each phone may do is the browser's own
 * (W3C Screen Wake Lock: secure contexts only, released when a page is hidden); only the moments
 * at which a page is hidden and a lock is taken away are the test's. Sentences that the phone
 * shows are quoted from the English catalogue.
 */
import { readFileSync } from "node:fs";
import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openPhone, type Phone } from "../support/trusting-chromium.ts";
import { signIn } from "./support/open-page.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const phoneWords: Record<string, string> = JSON.parse(
  readFileSync(new URL("../../console/words/en/phone.json", import.meta.url), "utf8"),
);
const WAIT_MS = 60_000;
/** Not a loopback name for the browser, so that plain http has no more rights than on a real phone. */
const NAME = "noonfall-test.local";

let hub: HubProcess;
let asked: LeadCalls;
let trusting: Phone;
let plain: Phone;
let lead: Page;
let west: Page;
let south: Page;

/** What a page asked its browser for, and whether a tap stood behind it at that moment. */
interface Asking {
  what: "wakeLock" | "resume" | "speak" | "vibrate";
  inTap: boolean;
}
type AskingWindow = Window & { asked?: Asking[]; lock?: WakeLockSentinel };

async function noteAskings(context: BrowserContext): Promise<void> {
  await context.addInitScript(() => {
    const noted: Asking[] = [];
    (window as AskingWindow).asked = noted;
    const wrap = <Name extends string>(
      owner: Record<Name, unknown> | undefined,
      name: Name,
      what: Asking["what"],
    ): void => {
      const plainly = owner?.[name] as ((...given: unknown[]) => unknown) | undefined;
      if (!owner || !plainly) return;
      owner[name] = function (this: unknown, ...given: unknown[]) {
        noted.push({ what, inTap: navigator.userActivation.isActive });
        const answer = plainly.apply(this, given);
        if (what === "wakeLock") {
          void (answer as Promise<WakeLockSentinel>).then(
            (lock) => {
              (window as AskingWindow).lock = lock;
            },
            () => undefined,
          );
        }
        return answer;
      };
    };
    wrap(navigator.wakeLock as unknown as Record<"request", unknown>, "request", "wakeLock");
    wrap(AudioContext.prototype as unknown as Record<"resume", unknown>, "resume", "resume");
    wrap(window.speechSynthesis as unknown as Record<"speak", unknown>, "speak", "speak");
    wrap(navigator as unknown as Record<"vibrate", unknown>, "vibrate", "vibrate");
  });
}

const askings = (page: Page) => page.evaluate(() => (window as AskingWindow).asked ?? []);
const locksAsked = async (page: Page) =>
  (await askings(page)).filter(({ what }) => what === "wakeLock").length;
const lockHolds = (page: Page) =>
  page.evaluate(() => {
    const { lock } = window as AskingWindow;
    return lock !== undefined && !lock.released;
  });

async function join(phone: Phone, rigId: string, origin: string): Promise<Page> {
  await noteAskings(phone.context);
  const page = await phone.context.newPage();
  page.setDefaultTimeout(WAIT_MS);
  const { pathname, hash } = new URL((await asked.link(rigId)).url);
  await page.goto(`${origin}${pathname}${hash}`);
  await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
  return page;
}

const isArmed = (page: Page, armed: boolean) =>
  page.locator(`[data-page="rig"][data-armed="${armed}"]`).waitFor();
const can = (page: Page, what: string, good: boolean) =>
  page.locator(`[data-can="${what}"][data-good="${good}"]`);

/** Waits until the lead, by the hub's interface and on the page, sees a rig's phone as armed or not. */
async function leadSees(rigId: string, armed: boolean): Promise<void> {
  const devices = async () =>
    (await asked.run()).rigs
      .find(({ id }: { id: string }) => id === rigId)
      .devices.map((device: { armed: boolean }) => device.armed);
  await expect.poll(devices, { timeout: WAIT_MS }).toEqual([armed]);
  const words = armed ? /(?<!not )armed/ : /not armed/;
  await lead.locator(`tr[data-rig="${rigId}"]`).getByText(words).waitFor();
}

/** What a rig's phone told last of what it can do. */
const lastTold = async (rigId: string) =>
  (await asked.log()).findLast((event) => event.actor === `rig:${rigId}` && event.payload.armed)?.payload
    .armed;

/**
 * The page is hidden, or shown again. Playwright keeps every page shown, so that this is played,
 * in the order of the standard (Screen Wake Lock, "handling document loss of visibility"): the
 * state, the release of the lock, the event.
 */
function turn(page: Page, state: "hidden" | "visible"): Promise<void> {
  return page.evaluate(async (now) => {
    Object.defineProperty(document, "visibilityState", { value: now, configurable: true });
    Object.defineProperty(document, "hidden", { value: now === "hidden", configurable: true });
    if (now === "hidden") await (window as AskingWindow).lock?.release();
    document.dispatchEvent(new Event("visibilitychange", { bubbles: true }));
  }, state);
}

beforeAll(async () => {
  hub = await startHubProcess();
  asked = leadCalls(hub);
  await planSite(hub);
  const root = Buffer.from(await (await fetch(`${hub.url}/trust/noonfall-root.crt`)).arrayBuffer());
  trusting = await openPhone({ root });
  const secure = hub.url.replace("http:", "https:");
  // Headless Chromium asks nobody: allowed as a phone's browser allows it by itself.
  await trusting.context.grantPermissions(["screen-wake-lock"], { origin: secure });
  plain = await openPhone({ names: { [NAME]: "127.0.0.1" } });
  lead = await plain.context.newPage();
  lead.setDefaultTimeout(WAIT_MS);
  await lead.goto(`${hub.url}/lead`);
  await signIn(lead, "Ada");
  await lead.locator('[data-action="go-array"]').click();
  west = await join(trusting, "west", secure);
  south = await join(plain, "south", hub.url.replace("127.0.0.1", NAME));
});
afterAll(async () => {
  await trusting?.close();
  await plain?.close();
  expect(await hub?.end()).toBe(0);
});

describe("one tap on 'Arm this phone'", () => {
  test("asks for wake lock, sound, voice and vibration at once, and says that all are there", async () => {
    await isArmed(west, false);
    await leadSees("west", false);
    expect(await askings(west)).toEqual([]);
    await west.locator('[data-action="arm"] button').click();
    await isArmed(west, true);
    for (const what of ["screen", "sound", "voice", "vibration"]) await can(west, what, true).waitFor();
    const all = await askings(west);
    expect(all.filter(({ inTap }) => !inTap)).toEqual([]);
    expect(new Set(all.map(({ what }) => what))).toEqual(new Set(["wakeLock", "resume", "speak", "vibrate"]));
    expect(await lockHolds(west)).toBe(true);
    expect(await can(west, "screen", true).textContent()).toBe(phoneWords["rig.can.screen.locked"]);
    await leadSees("west", true);
    await leadSees("south", false);
    await expect
      .poll(() => lastTold("west"), { timeout: WAIT_MS })
      .toEqual({ screen: true, sound: true, voice: true, vibration: true });
  });

  test("over plain http says in plain words that the screen may go dark, and arms the rest", async () => {
    expect(await south.evaluate(() => ({ secure: isSecureContext, lock: "wakeLock" in navigator }))).toEqual({
      secure: false,
      lock: false,
    });
    await south.locator('[data-action="arm"] button').click();
    await isArmed(south, true);
    await can(south, "screen", false).waitFor();
    for (const what of ["sound", "voice", "vibration"]) await can(south, what, true).waitFor();
    expect([phoneWords["rig.can.screen.maybe"], phoneWords["rig.can.screen.no"]]).toContain(
      await can(south, "screen", false).textContent(),
    );
    await leadSees("south", true);
    // The stand-in is not reliable: it does not count as a screen kept on.
    await expect
      .poll(() => lastTold("south"), { timeout: WAIT_MS })
      .toEqual({ screen: false, sound: true, voice: true, vibration: true });
  });
});

describe("an armed phone is armed again", () => {
  test("when it was hidden and is shown: the browser had taken the lock", async () => {
    const before = await locksAsked(west);
    await turn(west, "hidden");
    expect(await lockHolds(west)).toBe(false);
    // Nobody may ask for one while hidden.
    expect(await locksAsked(west)).toBe(before);
    await can(west, "screen", false).waitFor({ state: "attached" });
    await expect
      .poll(() => lastTold("west"), { timeout: WAIT_MS })
      .toMatchObject({ screen: false, sound: true });
    await turn(west, "visible");
    await expect.poll(() => lockHolds(west), { timeout: WAIT_MS }).toBe(true);
    expect(await locksAsked(west)).toBe(before + 1);
    await can(west, "screen", true).waitFor();
    await isArmed(west, true);
    await expect.poll(() => lastTold("west"), { timeout: WAIT_MS }).toMatchObject({ screen: true });
  });

  test("when its lock is released though it is shown", async () => {
    const before = await locksAsked(west);
    await west.evaluate(() => (window as AskingWindow).lock?.release());
    await expect.poll(() => locksAsked(west), { timeout: WAIT_MS }).toBe(before + 1);
    await expect.poll(() => lockHolds(west), { timeout: WAIT_MS }).toBe(true);
    await can(west, "screen", true).waitFor();
    await leadSees("west", true);
  });

  test("by one tap after a reload, and until then page and lead say that it is not", async () => {
    await west.reload();
    await west.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
    await isArmed(west, false);
    const tap = west.locator('[data-action="arm-now"]');
    await tap.waitFor();
    await leadSees("west", false);
    expect((await askings(west)).filter(({ what }) => what === "wakeLock" || what === "resume")).toEqual([]);
    await tap.click();
    await isArmed(west, true);
    await tap.waitFor({ state: "detached" });
    const all = await askings(west);
    expect(all.filter(({ inTap }) => !inTap)).toEqual([]);
    for (const what of ["wakeLock", "resume", "speak", "vibrate"])
      expect(all.filter((one) => one.what === what).length).toBeGreaterThan(0);
    await expect.poll(() => lockHolds(west), { timeout: WAIT_MS }).toBe(true);
    await leadSees("west", true);
  });
});
