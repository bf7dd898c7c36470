/**
 * Every screen for everybody: no violation of axe-core's rules for WCAG 2.2 AA and best practice,
 * in both palettes, from left to right and from right to left (its rules look at roles, names and
 * colours, which other words do not change); in all four languages targets that a cold thumb finds,
 * and nothing that reaches out of the screen at 360 px or with text of twice the size. Pages keep
 * running from one language and palette to the next wherever they let people choose.
 */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { openPage, signIn } from "./support/open-page.ts";
import {
  badTargets,
  COLOUR_RULES,
  outOfSight,
  sidewaysOverflow,
  violations,
  wear,
} from "./support/page-checks.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const WAIT_MS = 60_000;
const PHONE = { width: 390, height: 844 };
const LAPTOP = { width: 1280, height: 800 };
/** The narrowest and lowest phones in common use (common practice, no source), upright and on their side. */
const NARROW = { width: 360, height: 667 };
const ON_ITS_SIDE = { width: 844, height: 390 };
const LANGUAGES = ["en", "es", "fr", "ar"] as const;
type Language = (typeof LANGUAGES)[number];
/** One from left to right, one from right to left: for axe. */
const BOTH_WAYS: readonly Language[] = ["en", "ar"];

let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;

/** Fetching everything ahead is for other tests (offline.test.ts). */
const open = (url: string, viewport: { width: number; height: number }) =>
  openPage(browser, url, { viewport, reducedMotion: "reduce", serviceWorkers: "block", waitMs: WAIT_MS });

const inLanguage = (page: Page, language: string) =>
  page
    .locator(`html[lang="${language}"][dir="${language === "ar" ? "rtl" : "ltr"}"]`)
    .waitFor({ state: "attached" });

/**
 * A browser without a screen, resized often on a busy machine, may stop making frames for a page
 * (seen once for 60 s): nothing can be pressed there until it is resized again.
 */
async function drawn(page: Page): Promise<void> {
  const size = page.viewportSize() ?? PHONE;
  for (let tries = 0; tries < 5; tries++) {
    const frame = page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => resolve(true))));
    const came = await Promise.race([frame, page.waitForTimeout(3000).then(() => false)]);
    if (came) return;
    console.warn("no frame for 3 s: resized again");
    frame.catch(() => undefined);
    await page.bringToFront();
    await page.setViewportSize({ width: size.width, height: size.height + 1 });
    await page.setViewportSize(size);
  }
  throw new Error("the browser makes no frames");
}

/**
 * Axe in both palettes, of which the second changes colours alone; then, in every language, targets
 * and widths, which no palette changes.
 */
async function findings(page: Page, what: string, language: Language): Promise<string[]> {
  const found: string[] = [];
  const note = (where: string, items: string[]) => {
    found.push(...items.map((item) => `${what} in ${language}, ${where}: ${item}`));
  };
  if (BOTH_WAYS.includes(language)) {
    await wear(page, "glare");
    note("glare", await violations(page));
    await wear(page, "dusk");
    note("dusk", await violations(page, COLOUR_RULES));
  }
  const size = page.viewportSize() ?? PHONE;
  note("targets", await badTargets(page));
  note("in sight", await outOfSight(page));
  await page.setViewportSize(ON_ITS_SIDE);
  note("on its side", await sidewaysOverflow(page));
  note("targets on its side", await badTargets(page));
  note("in sight on its side", await outOfSight(page));
  await page.setViewportSize(NARROW);
  note(`${NARROW.width} px`, await sidewaysOverflow(page));
  note(`targets at ${NARROW.width} px`, await badTargets(page));
  note(`in sight at ${NARROW.width} px`, await outOfSight(page));
  await doubleText(page, true);
  note(`text of 200 % at ${NARROW.width} px`, await sidewaysOverflow(page));
  note("targets with text of 200 %", await badTargets(page));
  await doubleText(page, false);
  await page.setViewportSize(size);
  await drawn(page);
  return found;
}

function doubleText(page: Page, on: boolean): Promise<void> {
  return page.evaluate((doubled) => {
    // The rig page fits a large text to its screen; other pages take what the browser says.
    const rig = document.querySelector('[data-page="rig"]') !== null;
    const size = doubled ? "200%" : "100%";
    if (rig) document.documentElement.style.setProperty("--text-scale", doubled ? "2" : "1");
    else document.documentElement.style.setProperty("font-size", size);
    document.documentElement.dataset.text = doubled ? "large" : "plain";
  }, on);
}

let west: Page;
let both: Page;
let joins: { west: string; both: string };

beforeAll(async () => {
  hub = await startHubProcess();
  asked = leadCalls(hub);
  await planSite(hub);
  browser = await launchChromium();
  const [first, second] = [await asked.link("west"), await asked.link("south")];
  joins = { west: first.url, both: `${hub.url}/rig#west.${first.token}&south.${second.token}` };
  west = await open(joins.west, PHONE);
  both = await open(joins.both, PHONE);
  for (const page of [west, both])
    await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
  await asked.say("west", { filter: "on" });
  await west.locator('[data-action="arm"] button').click();
  await west.locator('[data-can="sound"]').waitFor();
});

afterAll(async () => {
  hub?.thaw();
  await browser?.close();
  expect(await hub?.end()).toBe(0);
});

const show = async (page: Page, screen: string) => {
  await page.locator(`[data-show="${screen}"]`).click();
  await page.locator(`[data-screen="${screen}"]`).waitFor();
};

async function choose(page: Page, language: string): Promise<void> {
  await show(page, "setup");
  await page.locator(`[data-choice="language"] [data-value="${language}"]`).click();
  await inLanguage(page, language);
}

async function startPractice(offsetS: number): Promise<void> {
  await asked.endPractice();
  await asked.practise("C2", offsetS);
}

/** Looks while a filter cue is counted in; once more when a busy machine took longer than that. */
async function inCountIn(look: () => Promise<string[]>): Promise<string[]> {
  for (let tries = 0; tries < 4; tries++) {
    await startPractice(-48);
    const counted = west
      .locator('[data-quiet="true"] [data-cue="filter-off"][data-cue-state="next"]')
      .first();
    await counted.waitFor();
    await both.locator('[data-quiet="true"] [data-question="filter"][data-rig="south"]').waitFor();
    const found = await look();
    if ((await counted.count()) > 0) return found;
  }
  throw new Error("no count-in was long enough to be looked at");
}

describe.each(LANGUAGES)("the rig page in %s", (language) => {
  beforeAll(async () => {
    for (const page of [west, both]) await choose(page, language);
  });

  test("set-up, run and report, long before the eclipse", async () => {
    await show(west, "setup");
    const found = await findings(west, "set-up", language);
    for (const screen of ["run", "report"]) {
      await show(west, screen);
      found.push(...(await findings(west, screen, language)));
    }
    expect(found).toEqual([]);
  });

  test("a cue in count-in and due, and a filter question on a phone with two rigs", async () => {
    const found = await inCountIn(async () => [
      ...(await findings(west, "count-in", language)),
      ...(await findings(both, "filter question in a count-in", language)),
    ]);
    await startPractice(-19);
    await west.locator('[data-action="confirm"][data-cue="filter-off"]').waitFor();
    found.push(...(await findings(west, "a cue that is due", language)));
    await asked.ask("DELETE", "/api/practice");
    expect(found).toEqual([]);
  });

  test("the cover that stands until a lead releases it", async () => {
    await asked.order({ type: "cover" });
    await west.locator('[data-cover] [role="alertdialog"]').waitFor();
    const found = await findings(west, "cover", language);
    await asked.order({ type: "releaseCover" });
    await west.locator("[data-cover]").waitFor({ state: "detached" });
    expect(found).toEqual([]);
  });
});

test("a link that opens nothing says so in every language", async () => {
  const page = await open(`${hub.url}/rig`, PHONE);
  const scan = (fragment: string) =>
    page.evaluate((hash) => {
      location.hash = hash;
    }, fragment);
  const found: string[] = [];
  for (const language of LANGUAGES) {
    // Such a page offers no choice of language: what was chosen before on the phone is read at its start.
    await page.evaluate(
      (locale) => localStorage.setItem("noonfall.rig", JSON.stringify({ locale })),
      language,
    );
    await page.reload();
    await page.locator('[data-screen="join"][data-trouble="no-rig"]').waitFor();
    await inLanguage(page, language);
    await scan("no-link-of-ours");
    await page.locator('[data-screen="join"][data-trouble="bad-link"]').waitFor();
    found.push(...(await findings(page, "no link", language)));
    await scan("west.not-the-token");
    await page.locator('[data-refused="bad link"]').waitFor();
    found.push(...(await findings(page, "a link with another key", language)));
    await page.locator('[data-action="leave"]').click();
    await page.locator('[data-screen="join"]').waitFor();
  }
  await page.context().close();
  expect(found).toEqual([]);
});

describe("the rig page alone", () => {
  test("in every language, with a call for help that nobody has heard yet", async () => {
    hub.freeze();
    await west.locator('[data-page="rig"][data-link-state="alone"]').waitFor();
    await show(west, "run");
    await west.locator('[data-action="help"]').click();
    await west.locator('[data-action="help"][data-calling="true"]').waitFor();
    const found: string[] = [];
    for (const language of LANGUAGES) {
      await choose(west, language);
      await show(west, "run");
      found.push(...(await findings(west, "alone", language)));
    }
    hub.thaw();
    await west.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
    expect(found).toEqual([]);
  });
});

describe("the other pages, from right to left in glare and in English in dusk", () => {
  const LOOKS = [
    { language: "ar", palette: "glare" },
    { language: "en", palette: "dusk" },
  ] as const;
  const look = async (page: Page, what: string, palette: string): Promise<string[]> => {
    await wear(page, palette);
    return (await violations(page)).map((item) => `${what} in ${palette}: ${item}`);
  };
  const chooseIn = async (page: Page, language: string) => {
    await page.locator('select[data-action="language"]').selectOption(language);
    await inLanguage(page, language);
  };

  test("board", async () => {
    const page = await open(`${hub.url}/board`, LAPTOP);
    await page.locator('[data-page="board"][data-phase]').waitFor();
    const found: string[] = [];
    for (const { language, palette } of LOOKS) {
      await chooseIn(page, language);
      found.push(...(await look(page, "board", palette)));
    }
    await page.context().close();
    expect(found).toEqual([]);
  });

  test("trust", async () => {
    const page = await open(`${hub.url}/trust`, PHONE);
    await page.locator('[data-page="trust"][data-tier]').waitFor();
    const found: string[] = [];
    for (const { language } of LOOKS) {
      await chooseIn(page, language);
      found.push(...(await findings(page, "trust", language)));
    }
    await page.context().close();
    expect(found).toEqual([]);
  });

  test("clock", async () => {
    const page = await open(`${hub.url}/clock`, PHONE);
    await page.locator('canvas[data-code^="1"]').first().waitFor();
    const found: string[] = [];
    for (const { language } of LOOKS) {
      await chooseIn(page, language);
      found.push(...(await findings(page, "clock", language)));
    }
    await page.context().close();
    expect(found).toEqual([]);
  });

  test("the lead's pages", async () => {
    const page = await open(`${hub.url}/lead`, LAPTOP);
    const found: string[] = [];
    for (const { language, palette } of LOOKS) {
      await page.locator('[data-screen="sign-in"]').waitFor();
      await chooseIn(page, language);
      found.push(...(await look(page, "sign-in", palette)));
      await signIn(page);
      await page.locator('[data-page="lead"]').waitFor();
      for (const screen of [
        "site",
        "rigs",
        "array",
        "practice",
        "record",
        "camera-clocks",
        "leads",
        "clock",
      ]) {
        // From the record it goes on to the cameras' clocks.
        const way = screen === "camera-clocks" ? screen : `go-${screen}`;
        await page.locator(`[data-action="${way}"]`).click();
        // A screen that is fetched first leaves the one before it in the page, hidden.
        await page.waitForFunction(
          (shown) =>
            document
              .querySelector(`[data-page="lead"][data-screen="${shown}"] main h1`)
              ?.checkVisibility() === true,
          screen,
        );
        if (screen === "rigs") await page.locator('[data-edit-rig="west"]').click();
        found.push(...(await look(page, screen, palette)));
      }
      await page.locator('[data-action="sign-out"]').click();
    }
    await page.context().close();
    expect(found).toEqual([]);
  });
});
