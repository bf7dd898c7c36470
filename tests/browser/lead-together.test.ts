/**
 * Two leads and four phones: danger on every screen, heard, silenced and answered where it is read; who
 * comes is seen by both; a roll call and a message come back from the phones; every lens is covered by
 * one key, and counted. In a practice, so that no real cue is near.
 */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { step } from "../support/step.ts";
import { openPage, signIn } from "./support/open-page.ts";
import { type LeadCalls, leadCalls, planSite, telescope } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const OPERATORS = { west: "Ada", south: "Ben", north: "Cleo", east: "Dov" };
let hub: HubProcess;
let browser: Browser;
let asked: LeadCalls;

beforeAll(async () => {
  hub = await startHubProcess();
  browser = await launchChromium();
  asked = leadCalls(hub);
  await planSite(
    hub,
    {},
    Object.entries(OPERATORS).map(([id, operator]) => telescope(id, operator)),
  );
});

afterAll(async () => {
  await browser?.close();
  await hub?.end();
});

const open = (url: string, viewport: { width: number; height: number }) =>
  openPage(browser, url, { viewport, serviceWorkers: "block", waitMs: 30_000 });

async function lead(name: string, screen: string): Promise<Page> {
  const page = await open(`${hub.url}/lead#${screen}`, { width: 1366, height: 768 });
  await signIn(page, name);
  await page.locator(`[data-screen="${screen}"]`).waitFor();
  return page;
}

async function phone(rigId: string): Promise<Page> {
  const { url } = await asked.link(rigId);
  const page = await open(url, { width: 390, height: 844 });
  await page.locator('[data-page="rig"][data-link="linked"]').waitFor();
  return page;
}

test("two leads and four phones", async () => {
  const [ada, ben] = [await lead("Ada", "rigs"), await lead("Ben", "array")];
  const west = await phone("west");
  const phones = [west, await phone("south"), await phone("north"), await phone("east")];

  await step(
    "a roll call is answered by the phones: ready, what is lacking, and within its time",
    async () => {
      await ben.locator('[data-action="roll"]').click();
      await ben.locator('[data-action="call-roll"]').click();
      await west.locator('[data-roll][data-rig="west"] [data-ready="ready"]').click();
      await ben.locator('section[data-roll][data-ready="1"][data-asked="4"][data-open="true"]').waitFor();
      await ben.locator('section[data-roll] [data-rig="south"][data-answer="none"]').waitFor();
      await ben.locator('[data-action="roll"]').click();
    },
  );

  await step("a message to one rig is seen when its phone has shown it, and by no other", async () => {
    await ben.locator('[data-action="message"]').click();
    await ben.locator('input[name="to-all"]').uncheck();
    await ben.locator('input[name="to-west"]').check();
    await ben.locator(".message-form input[required]").fill("Wind from the west.");
    await ben.locator('[data-action="send-message"]').click();
    await ben.locator('[data-receipt][data-seen="1"][data-of="1"]').waitFor();
    expect((await asked.run()).messages.at(-1)).toMatchObject({ rigIds: ["west"] });
    await ben.locator('[data-action="message"]').click();
  });

  await step(
    "the same words go to marshals, alone or too, and their pages say that they have shown them",
    async () => {
      const { token } = await asked.ask("GET", "/api/marshals/link");
      const marshal = await open(`${hub.url}/marshal#token=${token}`, { width: 390, height: 844 });
      await marshal.locator('[data-page="marshal"][data-link="linked"]').waitFor();
      const { messages } = await asked.run();
      await ben.locator('[data-action="message"]').click();
      await ben.locator('input[name="to-all"]').uncheck();
      await ben.locator('input[name="to-marshals"]').check();
      await ben.locator(".message-form input[required]").fill("Children to the front.");
      await ben.locator('[data-action="send-message"]').click();
      await marshal.locator("[data-marshal-words]").waitFor();
      await ben.locator('[data-told-marshals][data-seen="1"][data-of="1"]').waitFor();
      expect((await asked.run()).messages).toHaveLength(messages.length);
      await ben.locator('[data-action="message"]').click();
      await marshal.context().close();
    },
  );

  await step("danger stands on a screen that is not the array, and is heard", async () => {
    await asked.practise("C1", 600);
    await asked.say("west", { filter: "off" });
    const band = ada.locator('.danger-band[data-sounding="true"]');
    await band.locator('[data-alert="exposed"][data-priority="danger"][data-rig="west"]').waitFor();
  });

  await step("it is answered where it is read, and the other lead sees who comes", async () => {
    await ada.locator('.danger-band [data-action="take-alert"]').click();
    await ben.locator('.danger-band [data-taken-by="Ada"]').waitFor();
    await ada.locator('.danger-band [data-action="remind"]').click();
    await ada.locator(".danger-band [data-receipt]").waitFor();
  });

  await step("it is silenced for a stated time, on this console only", async () => {
    await ada.locator('[data-action="silence"]').click();
    await ada.locator('.danger-band[data-sounding="false"] [data-sound="silent"]').waitFor();
    await ben.locator('.danger-band[data-sounding="true"]').waitFor();
  });

  await step("danger cannot be put away; a card can, and stands below with its time", async () => {
    const shelf = { type: "answerAlert", alertId: "exposed:west", answer: "shelved" };
    await expect(asked.order(shelf)).rejects.toThrow(/S1/);
    await asked.say("south", { cardFreeGB: 2, filter: "on" });
    const card = ben.locator('.alert-list [data-alert="card-low"]');
    await card.locator('[data-action="shelve-alert"]').click();
    await card.waitFor({ state: "detached" });
    await ben.locator("[data-shelved]").waitFor();
  });

  await step("one key covers every lens on every screen, and no word that is written does", async () => {
    const orders = async () => (await asked.log()).filter(({ type }) => type === "coverOrdered").length;
    const { runId } = await asked.run();
    const go = async (hash: string) => {
      await ada.evaluate((to) => {
        window.location.hash = to;
      }, hash);
      await ada.locator(`[data-screen="${hash.split("/")[0]}"]`).waitFor();
    };
    const covers = async (where: string) => {
      const before = await orders();
      await ada.keyboard.press("F8");
      await ada.locator('[data-cover="standing"] [data-action="release-cover"]').waitFor();
      expect(await orders(), where).toBe(before + 1);
      await asked.order({ type: "releaseCover" });
      await ada.locator('[data-cover="standing"]').waitFor({ state: "detached" });
    };
    await go("rigs/west");
    const field = ada.locator('.rig-editor input[type="text"], .rig-editor input:not([type])').first();
    await field.click();
    await field.pressSequentially("Cover every lens, C F 8");
    expect(await orders()).toBe(0);
    await covers("in a text field");
    for (const screen of ["site", "practice", "clock", "record", `record/${runId}`, "leads"]) {
      await go(screen);
      await covers(screen);
    }
    for (const sheet of ["join-sheet", "crowd", "cue-sheets"]) {
      await go(sheet);
      await ada.locator(".practice-banner").waitFor();
      await covers(sheet);
    }
  });

  await step("a screen whose part does not come keeps it, and comes when it can", async () => {
    await ada.context().route("**/assets/camera-clocks-screen*", (route) => route.abort());
    await ada.evaluate(() => {
      window.location.hash = "camera-clocks";
    });
    await ada.locator('[data-screen="camera-clocks"] [data-action="cover"]').waitFor();
    await ada.context().unroute("**/assets/camera-clocks-screen*");
    await ada.locator('[data-screen="camera-clocks"] main h1').waitFor();
  });

  await step(
    "by keys alone: every lens is covered by one, counted, and a rig is opened and closed",
    async () => {
      await ada.keyboard.press("F8");
      const count = ada.locator('[data-covered-of="4"]');
      await count.waitFor();
      expect(await count.getAttribute("data-covered-count")).toBe("0");
      await west.locator('[data-action="covered"][data-rig="west"] button').click();
      await ada.locator('[data-covered-count="1"]').waitFor();
      await ben.locator('tr[data-rig="west"] [data-action="open-rig"]').focus();
      await ben.keyboard.press("Enter");
      await ben.locator('[data-rig-panel="west"] [data-history]').waitFor();
      await ben.keyboard.press("Escape");
      await ben.locator('[data-rig-panel="west"]').waitFor({ state: "detached" });
    },
  );

  await step(
    "what one lead ends is over for the other and for four phones, and both are told the same",
    async () => {
      await asked.order({ type: "releaseCover" });
      await ada.evaluate(() => {
        window.location.hash = "array";
      });
      const sentence = (page: Page) => page.locator("[data-glance-sentence]").textContent();
      await expect.poll(async () => (await sentence(ada)) === (await sentence(ben))).toBe(true);
      await ben.locator('[data-action="go-practice"]').click();
      await ben.locator('[data-action="end-practice"]').click();
      for (const page of [ada, ben]) await page.locator(".practice-banner").waitFor({ state: "detached" });
      for (const page of phones) await page.locator('[data-page="rig"][data-practice="false"]').waitFor();
    },
  );
});
