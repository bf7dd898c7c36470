/**
 * The lead's glances in eight named situations of a day, on a laptop, a wall and a tablet: the sentence and
 * its numbers against what phones have said, every rig in a row, a tile or among those that need somebody
 * and in one of them only, nothing cut, nothing over another, nothing to scroll, danger on every screen, one
 * number for one fact. No picture is compared; NOONFALL_GLANCES=FOLDER keeps them all, to be looked at.
 *
 * The day runs at a twentieth of its speed and leaps from one situation to the next.
 */
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { step } from "../support/step.ts";
import { type FieldRig, type GlanceField, glanceField, TWELVE } from "./support/glance-field.ts";
import { type MovedTime, movedTime } from "./support/moved-time.ts";
import { openPage, signIn } from "./support/open-page.ts";
import { badTargets, COLOUR_RULES, sidewaysOverflow, violations, wear } from "./support/page-checks.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";
import { cutWords, wordsOverWords } from "./support/words-in-sight.ts";

const SIZES = [
  { width: 1366, height: 768 },
  { width: 1920, height: 1080 },
  { width: 820, height: 1180 },
] as const;
const [LAPTOP] = SIZES;
const PICTURES = process.env.NOONFALL_GLANCES;
const MIN_MS = 60_000;
/** An hour and more before first contact comes to 25.69 N 32.64 E. */
const BEGINS_UTC = "2027-08-02T07:30:00Z";
const PLACE = { latDeg: 25.69, lonDeg: 32.64, confirmed: true };
const ALL = TWELVE.map(({ id }) => id);
const FILTERED = ALL.filter((id) => id !== "wide" && id !== "sky");
const except = (...ids: FieldRig[]) => ALL.filter((id) => !ids.includes(id));
const filteredExcept = (...ids: FieldRig[]) => FILTERED.filter((id) => !ids.includes(id));

let time: MovedTime;
let hub: HubProcess;
let asked: LeadCalls;
let field: GlanceField;
let browser: Browser;
const wrong: string[] = [];

beforeAll(async () => {
  time = movedTime(BEGINS_UTC, { rate: 0.05 });
  hub = await startHubProcess([], { clockFile: time.file, dispersionS: 0.05 });
  browser = await launchChromium();
  asked = leadCalls(hub);
  await planSite(hub, PLACE, TWELVE);
  field = glanceField(hub, asked, time);
  if (PICTURES) mkdirSync(PICTURES, { recursive: true });
});

afterAll(async () => {
  field?.end();
  await browser?.close();
  const code = await hub?.end();
  time?.end();
  expect(code).toBe(0);
  expect(wrong).toEqual([]);
});

async function lead(name: string): Promise<Page> {
  const page = await openPage(browser, `${hub.url}/lead#array`, {
    viewport: LAPTOP,
    reducedMotion: "reduce",
    serviceWorkers: "block",
    waitMs: 30_000,
    time,
    wrong,
  });
  await signIn(page, name);
  await page.locator('[data-screen="array"] [data-glance-sentence]').waitFor();
  return page;
}

interface Situation {
  name: string;
  /** Kinds of the sentence and how many rigs are of each. */
  sentence: Record<string, number>;
  /** What the countdown says it runs to, and that instant, real UTC. */
  countdown: [label: string, atUtcMs: number];
  /** Rigs among those that need somebody around totality; null while the table stands. */
  needs: FieldRig[] | null;
  /** Causes and rigs of what is danger. */
  dangers?: string[];
}

/** Waits until the page tells what was put in, then looks at it in every size. */
async function look(page: Page, situation: Situation): Promise<void> {
  await page.locator('[data-link-state="linked"]').waitFor();
  const { name, sentence, needs, dangers = [] } = situation;
  await expect.poll(() => sentenceOf(page), { message: name }).toEqual(sentence);
  await expect.poll(() => dangersOf(page), { message: name }).toEqual(dangers);
  const found: string[] = [];
  const note = (where: string, items: string[]) => found.push(...items.map((item) => `${where}: ${item}`));
  for (const size of SIZES) {
    const where = `${name} at ${size.width} × ${size.height}`;
    await page.setViewportSize(size);
    await settled(page);
    if (PICTURES) await keep(page, `${name}-${size.width}x${size.height}`);
    note(where, await cutWords(page));
    note(where, await wordsOverWords(page));
    note(where, await sidewaysOverflow(page));
    note(where, (await badTargets(page)).filter(touched(size)));
    note(where, await scrolled(page));
    const shown = await page
      .locator("main [data-filter][data-rig]")
      .evaluateAll((items) => items.map((item) => (item as HTMLElement).dataset.rig).sort());
    expect(shown, where).toEqual([...ALL].sort());
    expect(await page.locator("[data-need]").evaluateAll(needed), where).toEqual(needs ?? []);
  }
  await page.setViewportSize(LAPTOP);
  note(name, await violations(page));
  await wear(page, "dusk");
  note(`${name} in dusk`, await violations(page, COLOUR_RULES));
  await wear(page, "glare");
  expect.soft(found).toEqual([]);
  await counts(page, situation);
}

/** A tablet is touched; twelve rows on a laptop and a wall are pointed at (WCAG 2.2, 2.5.8). */
const touched = (size: { width: number }) => (item: string) =>
  size.width < 1000 || !item.endsWith("px of 44");

const needed = (items: Element[]) => items.map((item) => (item as HTMLElement).dataset.need);

/** { off: 3, stillOn: 1 }, with each number in its words. */
async function sentenceOf(page: Page): Promise<Record<string, unknown>> {
  const parts = await page.locator("[data-glance-sentence] [data-kind]").evaluateAll((items) =>
    items.map((item) => {
      const { kind = "", count = "" } = (item as HTMLElement).dataset;
      return [kind, (item.textContent ?? "").startsWith(`${count} `) ? Number(count) : item.textContent];
    }),
  );
  return Object.fromEntries(parts);
}

/** "exposed west", wherever it stands on this screen. */
async function dangersOf(page: Page): Promise<string[]> {
  const all = await page.locator('[data-alert][data-priority="danger"]').evaluateAll((items) =>
    items.map((item) => {
      const { cause, rig } = (item as HTMLElement).dataset;
      return `${cause} ${rig}`.trim();
    }),
  );
  return [...new Set(all)].sort();
}

/** The countdown, its target and its figures. */
async function counts(page: Page, { name, countdown: [label, atUtcMs] }: Situation): Promise<void> {
  const timer = page.locator('[role="timer"]');
  expect(await timer.locator(".countdown-label").textContent(), name).toBe(label);
  const figures = (await timer.locator("[data-figures]").textContent()) ?? "";
  const s = figures
    .replace(/^[+−-]/, "")
    .split(":")
    .reduce((sum, part) => sum * 60 + Number(part), 0);
  expect(Math.abs(s - Math.abs(atUtcMs - time.now()) / 1000), `${name}: ${figures}`).toBeLessThan(3);
}

/** Two frames: styles that hang on the size are in force, and what asks for the size was told. */
const settled = (page: Page) =>
  page.evaluate(
    () =>
      new Promise<void>((resolve) => {
        requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(resolve, 30)));
      }),
  );

/** Whether the array would have to be scrolled. */
const scrolled = (page: Page) =>
  page.evaluate(() => {
    const main = document.querySelector("main") as HTMLElement;
    const over = main.scrollHeight - main.clientHeight;
    return over > 1 ? [`the array reaches ${over} px below its room`] : [];
  });

async function keep(page: Page, name: string): Promise<void> {
  for (const palette of ["dusk", "glare"]) {
    await wear(page, palette);
    await page.screenshot({ path: join(PICTURES ?? "", `${name}-${palette}.png`) });
  }
}

/** Presses Tab until what is meant has the focus, as a hand without a mouse does. */
async function tabTo(page: Page, selector: string): Promise<void> {
  for (let presses = 0; presses < 120; presses++) {
    await page.keyboard.press("Tab");
    if (await page.evaluate((what) => document.activeElement?.matches(what), selector)) return;
  }
  throw new Error(`Tab does not come to ${selector}`);
}

/** Danger stands on every screen, whole and in sight. */
async function onEveryScreen(page: Page, danger: string): Promise<void> {
  for (const screen of [
    "site",
    "rigs",
    "practice",
    "clock",
    "record",
    "leads",
    "join-sheet",
    "crowd",
    "cue-sheets",
  ]) {
    await page.goto(`${hub.url}/lead#${screen}`);
    const line = page.locator(danger).first();
    await line.waitFor();
    const box = await line.boundingBox();
    expect(box && box.y >= 0 && box.y + box.height <= LAPTOP.height, `${danger} on ${screen}`).toBe(true);
  }
  await page.goto(`${hub.url}/lead#array`);
  await page.locator("[data-glance-sentence]").waitFor();
}

test("the lead's glances in eight situations", async () => {
  const ada = await lead("Ada");
  const ben = await lead("Ben");
  const { contacts } = await asked.run();
  const at = (contact: "c1" | "c2" | "c3" | "c4") => contacts[contact].realUtcMs as number;
  const passTo = (contact: "c1" | "c2" | "c3", offsetMs: number) => time.passTo(at(contact) + offsetMs, hub);

  await step("set-up: nine of twelve have come, and how far each is stands in its row", async () => {
    await passTo("c1", -50 * MIN_MS);
    await field.come(...except("robot", "red", "wide"));
    await field.say(filteredExcept("robot", "red", "eye"), { filter: "on", looked: true });
    await field.say(["west"], { checks: { anchored: true, level: true, pointed: true } });
    await field.say(["south"], { batteryPct: 88, phoneBatteryPct: 41, cardFreeGB: 61 });
    await ada.locator('tr[data-rig="west"] [data-set-up^="3/"]').waitFor();
    await look(ada, {
      name: "set-up",
      sentence: { on: 7, unknown: 3, none: 2 },
      countdown: ["until C1", at("c1")],
      needs: null,
    });
    const south = ada.locator('tr[data-rig="south"] .rows__battery');
    expect(await south.textContent()).toBe("88 %phone 41 %");
  });

  await step("moved: three phones that were away may still go by the old place", async () => {
    await field.come("robot", "red", "wide");
    await field.say(["robot", "red", "eye"], { filter: "on", looked: true });
    field.go("east", "long", "eye");
    await passTo("c1", -45 * MIN_MS);
    const plan = await asked.ask("GET", "/api/plan");
    const site = { ...plan.site, latDeg: plan.site.latDeg + 0.004 };
    const auth = { Authorization: `Bearer ${await hub.leadToken()}`, "If-Match": "*" };
    await hub.call("PUT", "/api/plan", { ...plan, site }, auth);
    await ada.locator('[data-old-place="3"]').waitFor();
    const moved = await asked.run();
    Object.assign(contacts, moved.contacts);
    await look(ada, {
      name: "moved",
      sentence: { on: 9, stays: 1, none: 2 },
      countdown: ["until C1", at("c1")],
      needs: null,
    });
    expect(await ada.locator("[data-old-place]").textContent()).toContain("3 of 12");
    expect(await ada.locator(".alert-list__none").count()).toBe(0);
  });

  await step("partial phase: nothing needs anybody", async () => {
    await passTo("c1", 19 * MIN_MS);
    await field.come("east", "long", "eye");
    await ada.locator(".alert-list__none").waitFor();
    // A row stays up until it has been calm for ten seconds.
    await passTo("c1", 20 * MIN_MS);
    await ada.locator('tr[data-trouble="none"]').nth(11).waitFor();
    await look(ada, {
      name: "partial",
      sentence: { on: 9, stays: 1, none: 2 },
      countdown: ["until C2", at("c2")],
      needs: null,
    });
  });

  await step("trouble: one open in sunlight, one calls, one is silent, one card is nearly full", async () => {
    await field.say(["long"], { cardFreeGB: 2.5 });
    await field.say(["south"], { help: true });
    field.go("east");
    await field.say(["west"], { filter: "off" });
    const silent = ada.locator('tr[data-rig="east"] .row__trouble');
    await expect
      .poll(() => silent.textContent())
      .toMatch(/^filter unknown for \d+:\d\d, last ON; Dov stands nearest/);
    await look(ada, {
      name: "trouble",
      sentence: { open: 1, on: 7, stays: 1, unknown: 1, none: 2 },
      countdown: ["until C2", at("c2")],
      needs: null,
      dangers: ["exposed west"],
    });
    await onEveryScreen(ada, '[data-alert="exposed"][data-rig="west"]');
    // A rig that is opened has its message and its reminder on top, and what it was last.
    await ada.locator('tr[data-rig="west"] [data-action="open-rig"]').press("Enter");
    const panel = ada.locator('[data-rig-panel="west"]');
    await panel.waitFor();
    for (const size of SIZES) {
      await ada.setViewportSize(size);
      await settled(ada);
      if (PICTURES) await keep(ada, `opened-${size.width}x${size.height}`);
      expect.soft(await sidewaysOverflow(ada), `opened at ${size.width}`).toEqual([]);
    }
    await ada.setViewportSize(LAPTOP);
    const parts = await panel
      .locator("[data-say], [data-history]")
      .evaluateAll((items) => items.map((item) => Object.keys((item as HTMLElement).dataset)[0]));
    expect(parts).toEqual(["say", "history"]);
    const [say, foot] = [
      await panel.locator("[data-say]").boundingBox(),
      await ada.locator("footer").boundingBox(),
    ];
    expect((say?.y ?? 0) + (say?.height ?? 0)).toBeLessThanOrEqual(foot?.y ?? 0);
    await ada.keyboard.press("Escape");
    await panel.waitFor({ state: "detached" });
    // By keys alone: who comes says so, and the other lead reads it.
    await tabTo(ada, '.danger-band [data-action="take-alert"]');
    await ada.keyboard.press("Enter");
    await ben.locator('[data-alert="exposed"] [data-taken-by="Ada"]').waitFor();
    await tabTo(ben, '[data-alert="help"] [data-action="answer-help"]');
    await ben.keyboard.press("Enter");
    await ada.locator('[data-alert="help"]').waitFor({ state: "detached" });
  });

  await step("coming off: the sentence is the page, and nothing is wrong yet", async () => {
    await field.come("east");
    await field.say(["west"], { filter: "on", looked: true });
    await field.say(["long"], { cardFreeGB: 60 });
    await passTo("c2", -14_000);
    await field.say(["west", "south", "long"], { filter: "off" });
    await look(ada, {
      name: "coming off",
      sentence: { off: 3, on: 6, stays: 1, none: 2 },
      countdown: ["until C2", at("c2")],
      needs: [],
    });
  });

  await step("totality: one filter is still on where it should be off", async () => {
    await field.say(["east", "short", "video", "robot"], { filter: "off" });
    await passTo("c2", 12_000);
    await field.say(["eye"], { filter: "off" });
    await look(ada, {
      name: "totality",
      sentence: { off: 8, stillOn: 1, stays: 1, none: 2 },
      countdown: ["Sun returns in", at("c3")],
      needs: ["ridge"],
    });
  });

  await step("the Sun is back: one is open in sunlight, counted from C3 wherever it is said", async () => {
    await passTo("c3", -12_000);
    await field.say(["eye"], { filter: "on", looked: true });
    await passTo("c3", 7_000);
    await field.say(["south", "east", "long", "short", "video", "robot"], { filter: "on", looked: true });
    await passTo("c3", 17_000);
    await look(ada, {
      name: "sun returns",
      sentence: { open: 1, on: 8, stays: 1, none: 2 },
      countdown: ["since C3", at("c3")],
      needs: ["west"],
      dangers: ["exposed west"],
    });
  });

  await step("covered: one key, and three of twelve have said so", async () => {
    await field.say(["west"], { filter: "on", looked: true });
    await passTo("c3", 95_000);
    // After the leap of time a page is for a moment without the hub: what is ordered then is not done.
    await ada.locator('[data-link-state="linked"]').waitFor();
    await ada.keyboard.press("F8");
    await ada.locator('[data-covered-count="0"]').waitFor();
    // Its sound is silenced where it stands, in no line of its own.
    await ada.locator('.cover-banner [data-action="silence"]').waitFor();
    expect(await ada.locator(".danger-band .sound-control").count()).toBe(0);
    await field.say(["west", "south", "red"], { filter: "on", looked: true });
    await ada.locator('[data-covered-count="3"][data-covered-of="12"]').waitFor();
    await look(ada, {
      name: "covered",
      sentence: { on: 9, stays: 1, none: 2 },
      countdown: ["until C4", at("c4")],
      needs: null,
    });
    await onEveryScreen(ada, '[data-cover="standing"]');
  });
});
