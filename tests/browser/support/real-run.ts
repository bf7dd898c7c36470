/**
 * A real run, lived through in the seconds that matter: the hub, phones, board and lead's console of a
 * site on the day of its eclipse (moved-time.ts). It begins some minutes before totality; the test
 * opens its pages and then lets time pass to where it wants to look.
 */
import type { Browser, BrowserContext, Page } from "playwright-core";
import { expect } from "vitest";
import { launchChromium } from "../../support/chromium.ts";
import { type MovedTime, movedTime } from "./moved-time.ts";
import { type LeadCalls, leadCalls, type Place, type PlannedRig, planSite } from "./site.ts";
import { type HubMachine, type HubProcess, PIN, startHubProcess } from "./start-hub.ts";

export const WAIT_MS = 30_000;
/**
 * Seven minutes before totality comes to 25.69 N 32.64 E on 2 August 2027, and a minute from any cue: near
 * one a phone shows nothing but its run screen.
 */
const BEGINS_UTC = "2027-08-02T09:55:05Z";
export const PHONE = { width: 390, height: 780 };
const LAPTOP = { width: 1280, height: 800 };

export interface RealRun {
  hub: HubProcess;
  asked: LeadCalls;
  time: MovedTime;
  /** A phone of its own with these rigs, linked, on the run screen; `wrongMs`: how far its own clock is ahead. */
  phone(rigIds: readonly string[], options?: PhoneOptions): Promise<Page>;
  board(): Promise<Page>;
  /** The lead's array, signed in. */
  lead(): Promise<Page>;
  /** Lets time pass until so many seconds after a predicted contact, true UTC. */
  passTo(contact: "c2" | "max" | "c3", offsetS: number): Promise<void>;
  /** Closes everything; fails where something went wrong in a page, or in the hub's end. */
  end(): Promise<void>;
}

export interface PhoneOptions {
  wrongMs?: number;
  size?: { width: number; height: number };
}

export interface RealRunSetting extends Omit<HubMachine, "clockFile"> {
  place?: Place;
  /** When it begins; at another place than usual cues come at other times. */
  beginsUtc?: string;
  rigs: readonly PlannedRig[];
  /** How far ahead of UTC the hub's machine is set, ms. */
  hubWrongMs?: number;
}

export async function startRealRun({
  place = {},
  beginsUtc = BEGINS_UTC,
  rigs,
  hubWrongMs = 0,
  ...machine
}: RealRunSetting): Promise<RealRun> {
  const time = movedTime(beginsUtc, hubWrongMs);
  const hub = await startHubProcess([], { ...machine, clockFile: time.file });
  const asked = leadCalls(hub);
  await planSite(hub, { latDeg: 25.69, lonDeg: 32.64, confirmed: true, ...place }, rigs);
  const { contacts } = await asked.run();
  const browser: Browser = await launchChromium();
  const wrong: string[] = [];

  const open = async (url: string, size: PhoneOptions["size"], wrongMs = 0): Promise<Page> => {
    const context: BrowserContext = await browser.newContext({
      viewport: size ?? PHONE,
      reducedMotion: "reduce",
      serviceWorkers: "block",
    });
    await time.enter(context, wrongMs);
    const page = await context.newPage();
    page.setDefaultTimeout(WAIT_MS);
    page.on("pageerror", (error) => wrong.push(`${url}: ${error.message}`));
    await page.goto(url);
    return page;
  };

  return {
    hub,
    asked,
    time,
    async phone(rigIds, { wrongMs, size } = {}) {
      const links = await Promise.all(rigIds.map((id) => asked.link(id)));
      const codes = links.map(({ url }) => new URL(url).hash.slice(1)).join("&");
      const page = await open(`${hub.url}/rig#${codes}`, size, wrongMs);
      await page.locator('[data-page="rig"][data-link="linked"]').waitFor();
      await page.locator('[data-show="run"]').click();
      await page.locator("[data-instruction]").waitFor();
      return page;
    },
    async board() {
      const page = await open(`${hub.url}/board`, LAPTOP);
      await page.locator('[data-page="board"][data-link="linked"]').waitFor();
      return page;
    },
    async lead() {
      const page = await open(`${hub.url}/lead`, LAPTOP);
      await page.locator('input[name="pin"]').fill(PIN);
      await page.locator('[data-action="sign-in"]').click();
      await page.locator('[data-action="go-array"]').click();
      await page.locator('[data-action="call-totality"]').waitFor();
      return page;
    },
    async passTo(contact, offsetS) {
      await time.passTo(contacts[contact].realUtcMs + offsetS * 1000, hub);
    },
    async end() {
      await browser.close();
      const code = await hub.end();
      time.end();
      if (wrong.length > 0) throw new Error(`in the pages: ${wrong.join("; ")}`);
      if (code !== 0) throw new Error(`the hub ended with ${code}:\n${hub.printed()}`);
    },
  };
}

/** What a rig's page tells its operator, and what its one button stands for. */
export interface Told {
  headline: string;
  rig: string | null;
  cue: string | null;
  state: string | null;
  mode: string | null;
  /** What is true while no cue is due. */
  inForce: string | null;
  /** Open in sunlight: the instruction, and the whole page. */
  exposed: boolean;
  danger: boolean;
  button: { rig: string; cue: string; words: string } | null;
}

export function toldOn(page: Page): Promise<Told> {
  return page.evaluate(() => {
    const told = document.querySelector<HTMLElement>("[data-instruction]");
    const button = document.querySelector<HTMLElement>('[data-action="confirm"]');
    const { rig, cue, cueState, mode, inForce, exposed } = told?.dataset ?? {};
    return {
      headline: told?.querySelector("h1")?.textContent ?? "",
      rig: rig ?? null,
      cue: cue || null,
      state: cueState ?? null,
      mode: mode ?? null,
      inForce: inForce ?? null,
      exposed: exposed === "true",
      danger: document.querySelector<HTMLElement>('[data-page="rig"]')?.dataset.danger === "true",
      button: button && {
        rig: button.dataset.rig ?? "",
        cue: button.dataset.cue ?? "",
        words: button.querySelector("button")?.textContent ?? "",
      },
    };
  });
}

type Telling = Partial<Omit<Told, "button">> & { button?: Partial<NonNullable<Told["button"]>> | null };

/** Waits until a page tells this. */
export async function tells(page: Page, what: Telling): Promise<void> {
  await expect.poll(() => toldOn(page), { timeout: WAIT_MS }).toMatchObject(what);
}

/** The filter of a rig as its page has it. */
export const filterOn = (page: Page, rigId: string): Promise<string | null> =>
  page.locator(`[data-action="filter"][data-rig="${rigId}"]`).getAttribute("data-filter");

/** One press by a person: what comes too soon after the button has changed is dropped, so it is pressed again. */
export async function press(
  page: Page,
  by: "button" | "Enter",
  taken: () => Promise<boolean>,
): Promise<void> {
  const until = Date.now() + WAIT_MS;
  while (!(await taken())) {
    if (Date.now() > until) throw new Error("no press was taken");
    if (by === "Enter") await page.keyboard.press("Enter");
    else
      await page
        .locator('[data-action="confirm"] button')
        .click({ timeout: 2000 })
        .catch(() => undefined);
    await page.waitForTimeout(450);
  }
}

/** Holds what must be meant for its second, and a little longer (S6). */
export async function hold(
  page: Page,
  action: "call-totality" | "saw-totality" | "release-cover",
): Promise<void> {
  await page.locator(`[data-action="${action}"] button`).hover();
  await page.mouse.down();
  await new Promise((resolve) => setTimeout(resolve, 1150));
  await page.mouse.up();
}
