/**
 * Near a cue and far from one, on phones, tablets and laptops of every common size, upright and on their side, with one, two
 * and four rigs, with the page's plain and its largest text: whatever an operator needs is in sight
 * whole, and big enough for a cold thumb; far from a cue the tabs, too.
 */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { badTargets, outOfSight, sidewaysOverflow } from "./support/page-checks.ts";
import { type LeadCalls, leadCalls, planSite, telescope } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const WAIT_MS = 60_000;
/** Phones, tablets and laptops in common use (common practice, no source), CSS px. */
const SIZES = [
  [1366, 768],
  [820, 1180],
  [390, 844],
  [360, 640],
  [375, 667],
  [844, 390],
  [740, 360],
  [667, 375],
] as const;
/** The narrowest there are, on their side: targets only. */
const LOWEST = [
  [640, 320],
  [568, 320],
] as const;
const RIGS = ["west", "south", "north", "east"];
const PHONES = [
  { locale: "en", textScale: 1.4, rigs: 1 },
  { locale: "fr", textScale: 1.4, rigs: 2 },
  { locale: "ar", textScale: 1, rigs: 2 },
  { locale: "es", textScale: 1, rigs: 4 },
  { locale: "ar", textScale: 1.4, rigs: 4 },
];
type Phone = (typeof PHONES)[number];

let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
const pages = new Map<Phone, Page>();

beforeAll(async () => {
  hub = await startHubProcess();
  asked = leadCalls(hub);
  const rigs = RIGS.map((id) => telescope(id, "Ada"));
  await planSite(hub, { confirmed: true }, rigs);
  browser = await launchChromium();
  const links = await Promise.all(RIGS.map((id) => asked.link(id)));
  const open = async (phone: Phone): Promise<void> => {
    const { locale, textScale } = phone;
    const context = await browser.newContext({
      viewport: { width: 390, height: 844 },
      reducedMotion: "reduce",
      serviceWorkers: "block",
    });
    await context.addInitScript(
      (prefs) => localStorage.setItem("noonfall.rig", prefs),
      JSON.stringify({ locale, textScale }),
    );
    const page = await context.newPage();
    page.setDefaultTimeout(WAIT_MS);
    pages.set(phone, page);
    const codes = links.slice(0, phone.rigs).map(({ url }) => new URL(url).hash.slice(1));
    await page.goto(`${hub.url}/rig#${codes.join("&")}`);
    await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
    await page.locator('[data-action="arm"] button').click();
    await page.locator('[data-page="rig"][data-armed="true"]').waitFor();
    await page.locator('[data-show="run"]').click();
  };
  await Promise.all(PHONES.map(open));
});
afterAll(async () => {
  hub?.thaw();
  await browser?.close();
  expect(await hub?.end()).toBe(0);
});

/** What is wrong on all phones at all sizes while a state lasts; `still` tells whether it does. */
async function wrong(still: string): Promise<string[]> {
  const looked = await Promise.all(
    [...pages].map(async ([{ locale, textScale, rigs }, page]) => {
      const found: string[] = [];
      await page.locator(still).first().waitFor();
      for (const [width, height] of [...SIZES, ...LOWEST]) {
        await page.setViewportSize({ width, height });
        const common = SIZES.some(([w, h]) => w === width && h === height);
        const items = [
          ...(common ? await outOfSight(page) : []),
          ...(await badTargets(page)),
          ...(await sidewaysOverflow(page)),
        ];
        found.push(
          ...items.map((item) => `${locale} × ${textScale}, ${rigs} rigs, ${width} × ${height}: ${item}`),
        );
      }
      if ((await page.locator(still).count()) === 0) throw new Error("it was over before it was looked at");
      await page.setViewportSize({ width: 390, height: 844 });
      return found;
    }),
  );
  return looked.flat();
}

test("minutes before any cue, with the tabs, of a filter of which nobody has said anything yet", async () => {
  // Long before, too, when the countdown is one of days.
  for (const page of pages.values()) expect(await sidewaysOverflow(page)).toEqual([]);
  await asked.practise("C2", -560);
  for (const page of pages.values()) await page.locator('[data-page="rig"][data-practice="true"]').waitFor();
  expect(await wrong('[data-quiet="false"][data-still="true"] [data-question="filter"]')).toEqual([]);
  await asked.endPractice();
});

test("before the filter comes off, of which nobody has said anything yet", async () => {
  await asked.practise("C2", -70);
  expect(await wrong('[data-quiet="true"] [data-question="filter"]')).toEqual([]);
});

test("in a count-in, some filters off under the bare Sun, on phones that the hub has left alone", async () => {
  for (const id of RIGS) await asked.say(id, { filter: "on", looked: true });
  await asked.endPractice();
  await asked.practise("C2", -60);
  for (const id of ["west", "north", "east"]) await asked.say(id, { filter: "off" });
  for (const page of pages.values())
    await page.locator('[data-action="filter"][data-exposed="true"]').first().waitFor();
  hub.freeze();
  for (const page of pages.values())
    await page.locator('[data-page="rig"][data-link-state="alone"]').waitFor();
  const found = await wrong('[data-quiet="true"] [data-instruction]');
  hub.thaw();
  for (const page of pages.values())
    await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
  expect(found).toEqual([]);
});
