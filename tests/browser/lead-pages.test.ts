/** The lead's pages: codes in view, the usual list undone, the Wi-Fi's code, a restore and its PIN, colours. */
import { readFileSync } from "node:fs";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { openPage, signIn } from "./support/open-page.ts";
import { planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const LAPTOP = { width: 1366, height: 768 };

let hub: HubProcess;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  hub = await startHubProcess();
  browser = await launchChromium();
  await planSite(hub);
  page = await openPage(browser, `${hub.url}/lead`, {
    viewport: LAPTOP,
    serviceWorkers: "block",
    waitMs: 30_000,
  });
  await signIn(page);
  await page.locator('[data-screen="array"]').waitFor();
});

afterAll(async () => {
  await browser?.close();
  await hub?.end();
});

const go = async (screen: string) => {
  await page.goto(`${hub.url}/lead#${screen}`);
};
const asLead = async () => ({ Authorization: `Bearer ${await hub.leadToken()}` });
const firstWords = () => page.locator('[data-cue] input[name="say"]').first();
/** A rig's page with the first cue of its list open. */
const openFirst = async () => {
  await go("rigs/west");
  await page.locator('[data-action="open-cue"]').first().click();
};
const save = async () => {
  await page.locator('[data-action="save-rig"]').click();
  await page.locator("[data-saved]").waitFor();
  await page.locator('[data-action="open-cue"]').first().click();
};

describe("a rig's page", () => {
  test.each(["rigs/west", "array/west"])(
    "on #%s shows the code of its link whole, above the bar",
    async (screen) => {
      await go(screen);
      await page.locator('[data-action="show-link"]').click();
      const code = await page.locator("[data-qr]").boundingBox();
      const bar = await page.locator("footer").boundingBox();
      expect((code?.y ?? 0) + (code?.height ?? 0)).toBeLessThanOrEqual(bar?.y ?? 0);
      expect(code?.y).toBeGreaterThan(0);
    },
  );

  test("has the usual words as text that can be changed; empty brings them back", async () => {
    await openFirst();
    const usual = await firstWords().inputValue();
    expect(usual).toMatch(/\w/);
    await firstWords().fill("");
    expect(await firstWords().inputValue()).toBe("");
    await firstWords().blur();
    expect(await firstWords().inputValue()).toBe(usual);
  });

  test("goes back to the usual list, and gives the lead's own back when that is undone", async () => {
    await page.reload();
    await openFirst();
    const usual = await firstWords().inputValue();
    await firstWords().fill("Look twice at the focus");
    await save();
    await page.locator('[data-action="default-cues"]').click();
    expect(await firstWords().inputValue()).toBe(usual);
    await page.locator('[data-action="undo"]').click();
    expect(await firstWords().inputValue()).toBe("Look twice at the focus");
  });
});

describe("a rig's page at which nothing was typed", () => {
  test("shows the newest plan, whoever saved it", async () => {
    await page.reload();
    await page.locator("[data-cues]").waitFor();
    const plan = await hub.call("GET", "/api/plan", undefined, await asLead());
    const rigs = plan.rigs.map((rig: { id: string }) =>
      rig.id === "west" ? { ...rig, operator: "Cleo" } : rig,
    );
    await hub.call("PUT", "/api/plan", { ...plan, rigs }, { ...(await asLead()), "If-Match": "*" });
    await expect.poll(() => page.locator('input[name="operator"]').inputValue()).toBe("Cleo");
  });
});

describe("a change of a rig", () => {
  test("is undone by one press, and what it was is there again", async () => {
    await page.reload();
    await openFirst();
    const before = await firstWords().inputValue();
    await firstWords().fill("Look three times at the focus");
    await save();
    const sentence = page.locator('[data-action="open-cue"] strong').first();
    expect(await sentence.textContent()).toBe("Look three times at the focus");
    await page.locator('[data-action="undo-edit"]').click();
    await expect.poll(() => sentence.textContent()).toBe(before);
  });
});

describe("the sky that the plan goes by", () => {
  test("is named by the lead, and stands after a reload", async () => {
    await go("array");
    const sky = page.locator('[data-action="choose-variant"]');
    const say = page.locator('[data-action="say-sky"]');
    // Chosen is not yet said: a stray key changes nobody's list.
    await sky.selectOption("overcast");
    await say.waitFor();
    await page.reload();
    await sky.waitFor();
    expect(await sky.inputValue()).toBe("clear");
    await sky.selectOption("overcast");
    await say.click();
    await say.waitFor({ state: "detached" });
    await page.reload();
    await sky.waitFor();
    await expect.poll(() => sky.inputValue()).toBe("overcast");
    await sky.selectOption("clear");
    await say.click();
    await say.waitFor({ state: "detached" });
  });
});

describe("the join sheet", () => {
  test("takes the site's Wi-Fi, names what is wrong with it, and shows its code", async () => {
    await go("join-sheet");
    await page.locator('input[name="wifi-name"]').fill("Palm;Field");
    await page.locator('input[name="wifi-password"]').fill("short");
    await page.locator('[data-action="keep-wifi"]').click();
    await page.locator('input[name="wifi-password"][aria-invalid="true"]').waitFor();
    await page.locator('input[name="wifi-password"]').fill("totality-2027");
    await page.locator('[data-action="keep-wifi"]').click();
    const code = page.locator("[data-sheet-wifi] [data-qr]");
    expect(await code.getAttribute("data-qr")).toBe("WIFI:T:WPA;S:Palm\\;Field;P:totality-2027;;");
    await page.reload();
    await code.waitFor();
    expect(await page.locator('input[name="wifi-name"]').inputValue()).toBe("Palm;Field");
  });
});

describe("a restore", () => {
  test("signs the lead out in the colours chosen, and says whose PIN is asked for", async () => {
    await go("record");
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.locator('[data-action="download-site"]').click(),
    ]);
    const buffer = readFileSync(await download.path());
    await page
      .locator('input[name="site-file"]')
      .setInputFiles({ name: "palm.site", mimeType: "application/octet-stream", buffer });
    await page.locator('[data-action="palette"]').selectOption("dusk");
    await page.locator('[data-action="restore-site"] button').focus();
    // Held for longer than the second it takes.
    await page.keyboard.press("Enter", { delay: 1500 });
    await page.locator('[data-screen="sign-in"] [data-ended="by restore"]').waitFor();
    expect(await page.evaluate(() => document.documentElement.dataset.palette)).toBe("dusk");
    await signIn(page);
    await page.locator('[data-screen="record"]').waitFor();
    await go("join-sheet");
    await page.locator("[data-sheet-wifi]").waitFor();
  });
});
