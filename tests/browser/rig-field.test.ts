/**
 * The rig page while the hub falls silent without a word (its laptop sleeps, the access point
 * chokes) from before second contact until after third: it says that it is alone, cue after cue
 * comes due, and what was reported meanwhile arrives once, with the time at which it happened.
 *
 * A practice run by night, at a place where totality takes 81 s; what lies between two cues is let
 * pass (moved-time.ts). The time that the test moves, which the hub takes its own from, stands
 * against the page's.
 */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { step } from "../support/step.ts";
import { type MovedTime, movedTime, NIGHT_UTC } from "./support/moved-time.ts";
import { type LeadCalls, type LoggedEvent, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const WAIT_MS = 60_000;
/** How long before each cue the page is left to itself, ms. */
const BEFORE_MS = 1000;
/** Page and hub read one clock; a busy machine may be late to look at it, ms. */
const SLACK_MS = 100;

/**
 * The cues that follow one another from before C2 until after C3, with seconds from a contact, as
 * SAFETY SPEC has them for a tracked telescope (common practice, no source).
 */
const CUES = [
  { id: "filter-off", anchor: "c2", offsetS: -20 },
  { id: "burst-before", anchor: "c2", offsetS: -12 },
  { id: "corona-brackets", anchor: "c2", offsetS: 8 },
  { id: "look-up", anchor: "max", offsetS: -10 },
  { id: "bead-after", anchor: "c3", offsetS: -25 },
  { id: "burst-after", anchor: "c3", offsetS: -15 },
  { id: "filter-on", anchor: "c3", offsetS: 5 },
] as const;

/** What the page said, whenever that changed. */
interface Said {
  clockMs: number;
  siteMs: number;
  boundMs: number;
  linkState: string;
  cue: string;
  state: string;
}

type WatchedWindow = Window & {
  siteClock?: { now(): number; boundMs(): number };
  said?: Said[];
};

interface Span {
  from: number;
  to: number;
}

let time: MovedTime;
let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
let phone: Page;
const wrong: string[] = [];

beforeAll(async () => {
  time = movedTime(NIGHT_UTC);
  hub = await startHubProcess([], { clockFile: time.file });
  asked = leadCalls(hub);
  await planSite(hub, { latDeg: 24.475 });
  browser = await launchChromium();
  const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
  await time.enter(context);
  phone = await context.newPage();
  phone.setDefaultTimeout(WAIT_MS);
  phone.on("pageerror", (error) => wrong.push(error.message));
  await phone.goto((await asked.link("west")).url);
  await phone.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
  await phone.locator('[data-show="run"]').click();
  await phone.locator('[data-question="filter"] [data-word="on"]').click();
  await phone.locator('[data-action="filter"][data-filter="on"]').waitFor();
});

afterAll(async () => {
  hub?.thaw();
  await browser?.close();
  expect(await hub?.end()).toBe(0);
  time?.end();
});

/** Starts a practice in which the rig counts as capped, so that its filter cues are meant (S8). */
async function practise(anchor: string, offsetS: number): Promise<void> {
  await asked.practise(anchor, offsetS);
  await asked.say("west", { practiceSafe: true });
  await phone.locator('[data-page="rig"][data-practice="true"]').waitFor();
  await phone.locator('[data-cue="filter-off"][data-mode="plain"]').first().waitFor();
}

/** Keeps what the page says of its link and its cue from here on, in the page itself. */
const watch = (): Promise<void> =>
  phone.evaluate(() => {
    const page = window as WatchedWindow;
    const said: Said[] = [];
    page.said = said;
    const look = (): void => {
      const instruction = document.querySelector<HTMLElement>("[data-instruction]")?.dataset;
      const linkState = document.querySelector<HTMLElement>('[data-page="rig"]')?.dataset.linkState ?? "";
      const { cue = "", cueState: state = "" } = instruction ?? {};
      const last = said.at(-1);
      if (last && last.linkState === linkState && last.cue === cue && last.state === state) return;
      const { siteClock } = page;
      said.push({
        clockMs: Date.now(),
        siteMs: siteClock?.now() ?? Number.NaN,
        boundMs: siteClock?.boundMs() ?? Number.NaN,
        linkState,
        cue,
        state,
      });
    };
    new MutationObserver(look).observe(document, { attributes: true, childList: true, subtree: true });
    look();
  });

/** Presses, and gives the time around it. */
async function press(selector: string): Promise<Span> {
  const from = time.now();
  await phone.locator(selector).click();
  return { from, to: time.now() };
}

/** A press too soon after the button has changed is dropped by the page, so it is pressed until taken. */
async function confirm(cue: string, taken: () => Promise<boolean>): Promise<Span> {
  const from = time.now();
  const button = phone.locator(`[data-action="confirm"][data-cue="${cue}"] button`);
  while (!(await taken())) {
    if (time.now() - from > WAIT_MS) throw new Error(`${cue}: no confirm was taken`);
    await button.click({ timeout: 2000 }).catch(() => undefined);
    await phone.waitForTimeout(100);
  }
  return { from, to: time.now() };
}

const filterShown = (word: string) => phone.locator(`[data-action="filter"][data-filter="${word}"]`);

describe("a hub that falls silent from before C2 until after C3", () => {
  let said: readonly Said[];
  let due: Readonly<Record<string, number>>;
  let contacts: Record<"c2" | "max" | "c3", { realUtcMs: number }>;
  let froze: number;
  let thawed: number;
  const pressed: Record<"help" | "off" | "on", Span> = {} as never;

  test("leaves a page that runs every cue by itself, and hears of it all afterwards", async () => {
    await step("the page runs every cue by itself and takes what it is told", async () => {
      await practise("C2", -40);
      contacts = (await asked.run()).contacts;
      due = Object.fromEntries(
        CUES.map((cue) => [cue.id, contacts[cue.anchor].realUtcMs + cue.offsetS * 1000]),
      );
      await watch();
      hub.freeze();
      froze = time.now();
      // Into a connection that nobody knows to be dead yet.
      pressed.help = await press('[data-action="help"]');
      await phone.locator('[data-action="help"][data-calling="true"]').waitFor();
      await phone.locator('[data-page="rig"][data-link-state="alone"]').waitFor();

      for (const { id } of CUES) {
        await time.passTo((due[id] ?? 0) - BEFORE_MS);
        await phone.locator(`[data-instruction][data-cue="${id}"][data-cue-state="now"]`).waitFor();
        if (id !== "filter-off") continue;
        pressed.off = await confirm("filter-off", async () => (await filterShown("off").count()) > 0);
      }
      pressed.on = await press('[data-action="filter"][data-filter="off"]');
      await filterShown("on").waitFor();
      expect(await phone.locator("header [data-link-state]").textContent()).toMatch(/\b3 reports wait/);
      said = await phone.evaluate(() => (window as WatchedWindow).said ?? []);
    });

    await step("it said that it was alone before C2, and nothing else until after C3", () => {
      const alone = said.findIndex((item) => item.linkState === "alone");
      expect(said.slice(0, alone).map((item) => item.linkState)).toEqual(Array(alone).fill("linked"));
      expect(new Set(said.slice(alone).map((item) => item.linkState))).toEqual(new Set(["alone"]));
      expect(said[alone]?.clockMs).toBeGreaterThan(froze);
      expect(said[alone]?.clockMs).toBeLessThan(contacts.c2.realUtcMs);
      expect(said.at(-1)?.clockMs).toBeGreaterThan(contacts.c3.realUtcMs);
    });

    await step(
      "its cues came due in their order, none early, each before the next, by the hub's clock",
      () => {
        const first = CUES.map(({ id }) => said.find((item) => item.cue === id && item.state === "now"));
        expect(first.map((item) => item?.cue)).toEqual(CUES.map(({ id }) => id));
        for (const [index, { id }] of CUES.entries()) {
          const seen = first[index]?.clockMs ?? Number.NaN;
          const early = (first[index]?.boundMs ?? 0) + SLACK_MS;
          expect(seen, id).toBeGreaterThan((due[id] ?? 0) - early);
          const next = CUES[index + 1];
          if (next) expect(seen, id).toBeLessThan((due[next.id] ?? 0) + early);
        }
        for (const { clockMs, siteMs, boundMs } of said) {
          expect(Math.abs(siteMs - clockMs)).toBeLessThan(boundMs + SLACK_MS);
          expect(boundMs).toBeLessThan(1000);
        }
      },
    );

    await step(
      "when the hub goes on, each report arrives once, with the time at which it happened",
      async () => {
        thawed = time.now();
        hub.thaw();
        await phone.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
        const { runId } = await asked.run();
        const ofPhone = async () =>
          (await asked.log()).filter((event) => event.actor === "rig:west" && event.loggedUtcMs >= froze);
        await expect
          .poll(async () => (await ofPhone()).length, { timeout: WAIT_MS })
          .toBeGreaterThanOrEqual(3);
        // What an old connection still held has been read by the time a new report is in the log.
        await phone.locator('[data-action="help"]').click();
        const tookBack = (events: LoggedEvent[]) => events.some((event) => event.payload.help === false);
        await expect.poll(async () => tookBack(await ofPhone()), { timeout: WAIT_MS }).toBe(true);

        const events = await ofPhone();
        expect(events.map(({ payload: { rigId, flags, ...report } }) => report)).toEqual([
          { help: true },
          { filter: "off", cueDone: "filter-off" },
          { filter: "on", cueDone: "filter-on" },
          { help: false },
        ]);
        for (const [index, span] of [pressed.help, pressed.off, pressed.on].entries()) {
          const event = events[index];
          expect(event).toMatchObject({ type: "rigReported", runId, payload: { rigId: "west", flags: [] } });
          const slack = SLACK_MS + (said.at(-1)?.boundMs ?? 0);
          expect(event?.observedUtcMs).toBeGreaterThan(span.from - slack);
          expect(event?.observedUtcMs).toBeLessThan(span.to + slack);
          expect(event?.loggedUtcMs).toBeGreaterThanOrEqual(thawed - slack);
        }
      },
    );

    await step("the hub's own picture of the run is then the phone's", async () => {
      const run = await asked.run();
      const west = run.rigs.find((rig: { id: string }) => rig.id === "west");
      expect(west).toMatchObject({ filter: "on", filterDisputed: false, linked: true, help: false });
      const done = west.cues.filter((cue: { state: string }) => cue.state === "done");
      expect(done.map((cue: { id: string }) => cue.id)).toEqual(["filter-off", "filter-on"]);
      expect(await phone.locator("header [data-link-state]").textContent()).not.toMatch(/wait/);
      await filterShown("on").waitFor();
      expect(wrong).toEqual([]);
    });
  });
});
