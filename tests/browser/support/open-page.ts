/** Pages as browser tests open them, and a lead's way in. */
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import type { MovedTime } from "./moved-time.ts";
import { type HubProcess, PIN } from "./start-hub.ts";

export interface Opening extends BrowserContextOptions {
  /** How long anything is waited for in the page. */
  waitMs: number;
  /** The time the page lives in, and how far ahead of it its device's clock is set, ms. */
  time?: MovedTime;
  wrongMs?: number;
  /** Takes the errors of the page's scripts. */
  wrong?: string[];
}

/** A page in a context of its own. */
export async function openPage(
  browser: Browser,
  url: string,
  { waitMs, time, wrongMs, wrong, ...device }: Opening,
): Promise<Page> {
  const context = await browser.newContext(device);
  await time?.enter(context, wrongMs);
  const page = await context.newPage();
  page.setDefaultTimeout(waitMs);
  if (wrong) page.on("pageerror", (error) => wrong.push(`${url}: ${error.message}`));
  await page.goto(url);
  return page;
}

/** On the lead's page: what comes then is the screen that its address names. */
export async function signIn(page: Page, name?: string): Promise<void> {
  await page.locator('input[name="pin"]').fill(PIN);
  if (name !== undefined) await page.locator('input[name="name"]').fill(name);
  await page.locator('[data-action="sign-in"]').click();
}

/** A lead at a laptop, signed in, at the array; without movement, so that a look is at what stays. */
export async function openLead(
  browser: Browser,
  hub: HubProcess,
  wrong: string[],
  device: BrowserContextOptions = {},
): Promise<Page> {
  const lead = await openPage(browser, `${hub.url}/lead`, {
    viewport: { width: 1366, height: 768 },
    reducedMotion: "reduce",
    serviceWorkers: "block",
    waitMs: 60_000,
    wrong,
    ...device,
  });
  await signIn(lead);
  await lead.locator('[data-screen="array"]').waitFor();
  return lead;
}

/** Errors of a page's scripts, and what it writes to the console as one. */
export function keepErrors(page: Page, wrong: string[]): void {
  page.on("pageerror", (error) => wrong.push(error.message));
  page.on("console", (line) => line.type() === "error" && wrong.push(line.text()));
}
