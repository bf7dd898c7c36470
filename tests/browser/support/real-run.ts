/**
 * A real run, lived through in the seconds that matter: the hub, phones, board and lead's console of a
 * site on the day of its eclipse (moved-time.ts). It begins some minutes before totality; the test
 * opens its pages and then lets time pass to where it wants to look.
 */
import type { Browser, Page } from "playwright-core";
import { expect } from "vitest";
import { launchChromium } from "../../support/chromium.ts";
import { type MovedTime, movedTime } from "./moved-time.ts";
import { openPage, signIn } from "./open-page.ts";
import {
  type LeadCalls,
  type LoggedEvent,
  leadCalls,
  type Place,
  type PlannedRig,
  planSite,
} from "./site.ts";
import { type HubMachine, type HubProcess, startHubProcess } from "./start-hub.ts";

export const WAIT_MS = 30_000;
/**
 * Seven minutes before totality comes to 25.69 N 32.64 E on 2 August 2027, and a minute from any cue: near
 * one a phone shows nothing but its run screen.
 */
const BEGINS_UTC = "2027-08-02T09:55:05Z";
/** Half as fast as the machine's clocks: a second of the run has two. */
const RATE = 0.5;
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
  const time = movedTime(beginsUtc, { hubWrongMs, rate: RATE });
  const hub = await startHubProcess([], { ...machine, clockFile: time.file });
  const asked = leadCalls(hub);
  await planSite(hub, { latDeg: 25.69, lonDeg: 32.64, confirmed: true, ...place }, rigs);
  const { contacts } = await asked.run();
  const browser: Browser = await launchChromium();
  const wrong: string[] = [];

  const open = (url: string, viewport: PhoneOptions["size"] = PHONE, wrongMs = 0): Promise<Page> =>
    openPage(browser, url, {
      viewport,
      reducedMotion: "reduce",
      serviceWorkers: "block",
      waitMs: WAIT_MS,
      time,
      wrongMs,
      wrong,
    });

  return {
    hub,
    asked,
    time,
    async phone(rigIds, { wrongMs, size } = {}) {
      const links = await Promise.all(rigIds.map((id) => asked.link(id)));
      const codes = links.map(({ url }) => new URL(url).hash.slice(1)).join("&");
      const page = await open(`${hub.url}/rig#${codes}`, size, wrongMs);
      await page.locator('[data-page="rig"][data-link="linked"]').waitFor();
      // Near a cue, which a busy machine may have come to, it shows that by itself and has no tabs.
      const shown = page.locator("[data-instruction]");
      await page.locator('[data-show="run"]').or(shown).first().waitFor();
      if ((await shown.count()) === 0)
        await page
          .locator('[data-show="run"]')
          .click({ timeout: 5000 })
          .catch(() => undefined);
      await shown.waitFor();
      return page;
    },
    async board() {
      const page = await open(`${hub.url}/board`, LAPTOP);
      await page.locator('[data-page="board"][data-link="linked"]').waitFor();
      return page;
    },
    async lead() {
      const page = await open(`${hub.url}/lead`, LAPTOP);
      await signIn(page);
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

/**
 * The button of this rig's cue is pressed, or a key while it is there, until that is taken: a press too
 * soon after the button has changed is dropped.
 */
export async function press(
  page: Page,
  by: "finger" | "Enter",
  { rig, cue }: { rig: string; cue: string },
  taken: () => Promise<boolean>,
): Promise<void> {
  const button = page.locator(`[data-action="confirm"][data-rig="${rig}"][data-cue="${cue}"] button`);
  await until(`${by} on ${cue} of ${rig} is taken`, taken, async () => {
    if ((await button.count()) === 0) return;
    if (by === "Enter") await page.keyboard.press("Enter");
    else await button.click({ timeout: 2000 }).catch(() => undefined);
    await page.waitForTimeout(500);
  });
}

/** Does something again until it has come about. */
async function until(
  what: string,
  holds: () => Promise<boolean>,
  again: () => Promise<unknown>,
): Promise<void> {
  const deadline = Date.now() + WAIT_MS;
  while (!(await holds())) {
    if (Date.now() > deadline) throw new Error(`waited ${WAIT_MS / 1000} s in vain until ${what}`);
    await again();
  }
}

const LOGGED = {
  "call-totality": ({ type, payload }: LoggedEvent) => type === "called" && payload.call === "totality",
  "saw-totality": ({ payload }: LoggedEvent) => payload.sawTotality === true,
  "release-cover": ({ type }: LoggedEvent) => type === "coverReleased",
};

/** Holds what must be meant (S6) for as long as the button asks, until the hub has it. */
export async function hold(run: RealRun, page: Page, action: keyof typeof LOGGED): Promise<void> {
  const said = async () => (await run.asked.log()).filter(LOGGED[action]).length;
  const before = await said();
  const button = page.locator(`[data-action="${action}"] button`);
  const done = async () => (await said()) > before;
  await until(`${action} was held`, done, async () => {
    const there = await button.hover({ timeout: 3000 }).then(
      () => true,
      () => false,
    );
    if (!there) return;
    await page.mouse.down();
    // It lets go by itself when the second is over, or when it was left.
    const held = button.and(page.locator('[data-holding="true"]'));
    await held.waitFor({ timeout: 3000 }).catch(() => undefined);
    await held.waitFor({ state: "detached" });
    await page.mouse.up();
    const patience = Date.now() + 3000;
    while (!(await done()) && Date.now() < patience) await page.waitForTimeout(50);
  });
}
