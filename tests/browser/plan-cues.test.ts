/**
 * A lead works at a rig's cues: by keys alone, on the line, under another sky, with settings from the
 * budget, on a narrow phone; and what is saved is what the sentences said.
 */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { openLead, openPage } from "./support/open-page.ts";
import { COLOUR_RULES, outOfSight, sidewaysOverflow, violations, wear } from "./support/page-checks.ts";
import { type LeadCalls, leadCalls, planSite, telescope } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const LAPTOP = { width: 1366, height: 768 };
const PHONE = { width: 360, height: 640 };

let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
let lead: Page;
const wrong: string[] = [];

beforeAll(async () => {
  hub = await startHubProcess();
  asked = leadCalls(hub);
  const west = { ...telescope("west", "Ada"), equipment: { fNumber: 8, iso: 100 } };
  await planSite(hub, {}, [west, telescope("south", "Ben")]);
  browser = await launchChromium();
  lead = await openLead(browser, hub, wrong, { hasTouch: true });
  await lead.goto(`${hub.url}/lead#rigs/west`);
  await lead.locator("[data-cues]").waitFor();
});

afterAll(async () => {
  await browser?.close();
  expect(await hub?.end()).toBe(0);
  expect(wrong).toEqual([]);
});

const cue = (id: string) => lead.locator(`[data-cue="${id}"]`);
const sentence = (id: string) => cue(id).locator('[data-action="open-cue"]');
const said = async (id: string) => (await sentence(id).textContent()) ?? "";
const savedRig = async (id: string) =>
  (await asked.ask("GET", "/api/plan")).rigs.find((rig: { id: string }) => rig.id === id);
const savedCue = async (rigId: string, id: string) =>
  (await savedRig(rigId)).cues.find((one: { id: string }) => one.id === id);
/** What has the focus, by the name that programs know it by. */
const focused = () =>
  lead.evaluate(() => {
    const { activeElement: at } = document;
    return `${at?.closest("[data-cue]")?.getAttribute("data-cue") ?? ""} ${at?.getAttribute("data-action") ?? at?.getAttribute("name") ?? ""}`;
  });
const tabTo = async (wanted: string) => {
  for (let n = 0; n < 40 && (await focused()) !== wanted; n++) await lead.keyboard.press("Tab");
  expect(await focused()).toBe(wanted);
};
const save = async () => {
  await lead.locator('[data-action="save-rig"]').click();
  await lead.locator("[data-saved]").waitFor();
};

describe("with keys alone", () => {
  test("a cue is found, opened, moved on the line, mended where a rule minds, and undone", async () => {
    expect(await said("filter-off")).toContain("20 s before C2");
    await sentence("focus-tape").focus();
    for (let n = 0; n < 30 && (await focused()) !== "filter-off open-cue"; n++)
      await lead.keyboard.press("ArrowDown");
    await lead.keyboard.press("Enter");
    await tabTo("filter-off drag-cue");
    for (let n = 0; n < 5; n++) await lead.keyboard.press("ArrowLeft");
    expect(await said("filter-off")).toContain("25 s before C2, from 10 s earlier");
    // S4: 480 mm may be open from C2−30 s on; with its window it would be from C2−35 s.
    await cue("filter-off").locator('[data-finding="filter-off-too-early"]').waitFor();
    await tabTo("filter-off take-cue-mend").catch(async () => {
      await sentence("filter-off").focus();
      await tabTo("filter-off take-cue-mend");
    });
    await lead.keyboard.press("Enter");
    await cue("filter-off").locator("[data-finding]").waitFor({ state: "detached" });
    expect(await said("filter-off")).toContain("25 s before C2, from 5 s earlier");
    // The whole drag is one step; the mend is another.
    await sentence("filter-off").focus();
    await lead.keyboard.press("Control+z");
    await lead.keyboard.press("Control+z");
    expect(await said("filter-off")).toContain("20 s before C2, from 10 s earlier");
    await lead.keyboard.press("Control+Shift+Z");
    await lead.keyboard.press("Control+Shift+Z");
    await lead.keyboard.press("Escape");
    expect(await focused()).toBe("filter-off open-cue");
    expect(await cue("filter-off").locator("[data-cue-editor]").count()).toBe(0);
    await save();
    expect(await savedCue("west", "filter-off")).toMatchObject({ offsetS: -25, earliestS: -5 });
  });

  test("a cue of the lead's own is added, hung on another contact, said in own words, and found again", async () => {
    await lead.locator('[data-action="add-cue"]').focus();
    await lead.keyboard.press("Enter");
    const own = cue("own-1");
    await own.locator('input[name="say"]').fill("Drink some water");
    await own.locator('select[name="when-anchor"]').selectOption("C1");
    await own.locator('select[name="when-side"]').selectOption("after");
    await own.locator('input[name="when-min"]').fill("12");
    await own.locator('input[name="when-s"]').fill("30");
    await own.locator('input[name="when-s"]').fill("x");
    await lead.locator('[data-action="save-rig"]').click();
    // What cannot be read is not saved as something else: its field is shown.
    expect(await focused()).toMatch(/^own-1 when-/);
    await own.locator('input[name="when-s"]').fill("30");
    expect(await said("own-1")).toContain("12 min 30 s after C1, within 30 s: Drink some water");
    await own.locator('select[name="when-anchor"]').selectOption("cue loosen-tape");
    expect(await said("own-1")).toContain("12 min 30 s after “Loosen the tape.");
    await own.locator('select[name="when-anchor"]').selectOption("C1");
    await lead.keyboard.press("Escape");
    await lead.locator('input[name="find-cue"]').fill("water");
    expect(await lead.locator("[data-cue][data-on]").count()).toBe(1);
    await lead.locator('input[name="find-cue"]').fill("");
    await save();
    expect(await savedCue("west", "own-1")).toMatchObject({
      anchor: "C1",
      offsetS: 750,
      say: "Drink some water",
    });
    expect((await asked.log()).at(-1)).toMatchObject({ type: "rigPlanned" });
  });
});

describe("under another sky", () => {
  test("only what differs is kept, shown, and taken back one by one", async () => {
    await lead.locator('[data-sky="thin"][data-action]').click();
    for (const id of ["corona-brackets", "retape"]) {
      await sentence(id).click();
      await cue(id).locator('input[name="on"]').uncheck();
      await cue(id).locator('[data-action="close-cue"]').click();
    }
    expect(await lead.locator("[data-difference]").count()).toBe(2);
    await lead.locator('[data-of="retape"] [data-action="take-back"]').click();
    await lead.locator('input[name="only"]').check();
    expect(await lead.locator("[data-cue][data-on]").count()).toBe(1);
    await lead.locator('input[name="only"]').uncheck();
    // S9: what makes things safe is there under every sky.
    await sentence("filter-on").click();
    await cue("filter-on").locator('input[name="on"]').uncheck();
    await cue("filter-on").locator('[data-finding="variant-safe-cue"]').waitFor();
    await cue("filter-on").locator('[data-action="take-cue-mend"]').first().click();
    await expect.poll(() => cue("filter-on").locator("[data-finding]").count()).toBe(0);
    await save();
    const { variants, cues } = await savedRig("west");
    expect(variants.thin).toMatchObject([{ do: "switch", cueId: "corona-brackets", on: false }]);
    expect(cues.find((one: { id: string }) => one.id === "corona-brackets").on).toBe(true);
  });

  test("a phone is told what that changes for its rig, until it is read", async () => {
    const phone = await openPage(browser, (await asked.link("west")).url, {
      viewport: PHONE,
      serviceWorkers: "block",
      waitMs: 30_000,
      wrong,
    });
    await phone.locator('[data-page="rig"][data-link="linked"]').waitFor();
    await asked.order({ type: "chooseVariant", variant: "thin", rigIds: null });
    const notice = phone.locator('[data-sky="thin"][data-rig="west"]');
    await notice.waitFor();
    expect(await notice.textContent()).toContain("thin cloud");
    expect(await notice.textContent()).toContain("Left out: Corona brackets.");
    expect(await sidewaysOverflow(phone)).toEqual([]);
    await notice.locator('[data-action="sky-read"]').click();
    await notice.waitFor({ state: "detached" });
    await asked.order({ type: "chooseVariant", variant: "overcast", rigIds: ["west"] });
    const overcast = phone.locator('[data-sky="overcast"][data-rig="west"]');
    await overcast.getByText("Filter stays on.").waitFor();
    await asked.order({ type: "chooseVariant", variant: "clear", rigIds: null });
    await phone.locator('[data-sky="clear"][data-rig="west"]').waitFor();
    await phone.context().close();
  });
});

describe("camera settings", () => {
  test("come from the rig's budget by one tap, and stand large on the rig's page when the cue is due", async () => {
    await lead.locator('[data-sky="clear"][data-action]').click();
    await sentence("bead-before").click();
    await cue("bead-before").locator('[data-action="take-settings"]').first().click();
    await save();
    const { camera } = await savedCue("west", "bead-before");
    expect(camera).toMatchObject({ iso: 100, fNumber: 8 });
    const { url } = await asked.link("west");
    const context = await browser.newContext({ viewport: PHONE, serviceWorkers: "block" });
    const phone = await context.newPage();
    await asked.practise("C2", -62);
    await phone.goto(url);
    const settings = phone.locator("[data-instruction] [data-settings]");
    await settings.waitFor();
    expect(await settings.textContent()).toMatch(/^1\/\d+ s · ISO 100 · f\/8$/);
    expect(await outOfSight(phone)).toEqual([]);
    await asked.endPractice();
    await context.close();
  });

  test("and all else that was changed is made at another rig by one tap", async () => {
    await lead.goto(`${hub.url}/lead#rigs/south`);
    await lead.locator('[data-rig-editor="south"] [data-action="copy-edits"]').click();
    await expect.poll(() => savedCue("south", "own-1")).toMatchObject({ say: "Drink some water" });
    expect(await savedCue("south", "filter-off")).toMatchObject({ offsetS: -25 });
  });
});

describe("on a phone of 360 px", () => {
  test("a cue is opened, dragged with a finger and closed; nothing is cut or too small", async () => {
    await lead.setViewportSize(PHONE);
    await lead.goto(`${hub.url}/lead#rigs/west`);
    await sentence("bead-after").tap();
    const handle = lead.getByRole("slider");
    await handle.scrollIntoViewIfNeeded();
    const box = (await handle.boundingBox()) ?? { x: 0, y: 0, width: 0, height: 0 };
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await lead.mouse.move(x, y);
    await lead.mouse.down();
    await lead.mouse.move(x - 12, y, { steps: 3 });
    await lead.mouse.up();
    const { offsetS } = await savedCue("west", "bead-after");
    const moved = Number(await handle.getAttribute("aria-valuenow"));
    expect(moved).toBeLessThan(offsetS);
    expect(moved).toBeGreaterThan(offsetS - 60);
    expect(await sidewaysOverflow(lead)).toEqual([]);
    const small = await lead
      .locator("[data-cues] :is(button, input:not([type=checkbox]), select, summary)")
      .evaluateAll((items) =>
        items
          .filter((item) => item.checkVisibility() && item.getAttribute("aria-hidden") !== "true")
          .map((item) => ({ text: item.textContent?.slice(0, 30), box: item.getBoundingClientRect() }))
          .filter(({ box }) => box.width < 43.5 || box.height < 43.5)
          .map(({ text, box }) => `${text}: ${box.width} × ${box.height}`),
      );
    expect(small).toEqual([]);
    await lead.keyboard.press("Escape");
    await lead.locator('[data-action="undo"]').tap();
  });

  test("can be read and reached by everybody, in both palettes and in a language from the right", async () => {
    await sentence("filter-off").tap();
    for (const language of ["en", "ar"]) {
      if (language === "ar") {
        await lead.setViewportSize(LAPTOP);
        await lead.getByLabel("Language").selectOption("ar");
        await lead.locator('html[dir="rtl"]').waitFor();
        await lead.setViewportSize(PHONE);
      }
      expect(await violations(lead)).toEqual([]);
      expect(await sidewaysOverflow(lead)).toEqual([]);
      await wear(lead, "dusk");
      expect(await violations(lead, COLOUR_RULES)).toEqual([]);
      await wear(lead, "glare");
    }
  });
});
