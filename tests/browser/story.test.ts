/**
 * The story: a lead and two operators go through a totality together in real browsers; the hub is
 * killed in the middle of it, the pages carry on, and nothing is lost. What lies between two looks
 * is let pass (moved-time.ts); else it waits for conditions, never for times, so that a busy machine
 * only makes it slower.
 *
 * It is noon at the site some months before the eclipse: under the real Sun a practice is touch only (S8).
 */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { step } from "../support/step.ts";
import { until } from "../support/until.ts";
import { type MovedTime, movedTime, NOON_UTC } from "./support/moved-time.ts";
import { openPage, signIn } from "./support/open-page.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const WAIT_MS = 45_000;

let time: MovedTime;
let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
let lead: Page;
let west: Page;
let south: Page;
let board: Page;
const wrong: string[] = [];

const open = (url: string, viewport: { width: number; height: number }) =>
  openPage(browser, url, { viewport, waitMs: WAIT_MS, time, wrong });

const PHONE = { width: 390, height: 844 };
const LAPTOP = { width: 1280, height: 800 };

type SiteWindow = Window & {
  siteClock?: { now(): number; boundMs(): number; utcBoundMs(): number };
};

/** What the page's own eclipse clock says. */
const clockOf = (page: Page) =>
  page.evaluate(() => {
    const clock = (window as SiteWindow).siteClock;
    return clock ? { now: clock.now(), boundMs: clock.boundMs(), utcBoundMs: clock.utcBoundMs() } : null;
  });

const row = (rigId: string) => lead.locator(`[data-linked][data-rig="${rigId}"]`);
const instruction = (page: Page) => page.locator("[data-instruction]");

beforeAll(async () => {
  time = movedTime(NOON_UTC);
  hub = await startHubProcess([], { clockFile: time.file });
  asked = leadCalls(hub);
  await planSite(hub);
  browser = await launchChromium();
});

afterAll(async () => {
  await browser?.close();
  expect(await hub?.end()).toBe(0);
  time?.end();
});

describe("a totality, with a hub that dies in it", () => {
  test("is lived through by a lead, two operators and a board, and nothing is lost", async () => {
    await step("the lead signs in with the PIN; a wrong one is told", async () => {
      lead = await open(`${hub.url}/lead`, LAPTOP);
      await lead.locator('[data-screen="sign-in"]').waitFor();
      // DESIGN.md: each page offers the eclipse clock; here nobody has signed in yet.
      await until("the page knows the hub's time", async () =>
        Number.isFinite((await clockOf(lead))?.boundMs),
      );
      await lead.locator('[data-screen="sign-in"] input[name="pin"]').fill("000000");
      await lead.locator('[data-action="sign-in"]').click();
      await lead.locator('input[name="pin"][aria-invalid="true"]').waitFor();
      await signIn(lead, "Ada");
      await lead
        .locator('[data-screen="array"], [data-screen="rigs"], [data-screen="site"]')
        .first()
        .waitFor();
      await lead.locator('[data-action="go-array"]').click();
      await row("west").waitFor();
      await row("south").waitFor();
    });

    await step(
      "two phones join by their links and are seen by the lead; the token leaves the address",
      async () => {
        const links = { west: await asked.link("west"), south: await asked.link("south") };
        west = await open(links.west.url, PHONE);
        south = await open(links.south.url, PHONE);
        for (const [id, page] of [
          ["west", west],
          ["south", south],
        ] as const) {
          await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
          await lead.locator(`[data-linked][data-rig="${id}"][data-linked="true"]`).waitFor();
          expect(page.url()).not.toContain(links[id].token);
        }
      },
    );

    await step("every page has the eclipse clock, and says how far it may be off", async () => {
      board = await open(`${hub.url}/board`, LAPTOP);
      await board.locator('[data-page="board"][data-phase]').waitFor();
      for (const page of [lead, west, south, board]) {
        await until("a clock with a bound", async () => Number.isFinite((await clockOf(page))?.boundMs));
        // The hub's own word on the time, asked before and after: the page's lies between.
        const before = (await hub.call("GET", "/api/health")).utcMs as number;
        const clock = await clockOf(page);
        const after = (await hub.call("GET", "/api/health")).utcMs as number;
        expect(clock?.now).toBeGreaterThan(before - (clock?.boundMs ?? 0));
        expect(clock?.now).toBeLessThan(after + (clock?.boundMs ?? 0));
        expect(clock?.utcBoundMs).toBeGreaterThanOrEqual(clock?.boundMs ?? Number.POSITIVE_INFINITY);
      }
    });

    await step("each operator says that the filter is on (S10), and the lead sees it", async () => {
      for (const [id, page] of [
        ["west", west],
        ["south", south],
      ] as const) {
        await page.locator('[data-show="run"]').click();
        await page.locator('[data-question="filter"] [data-word="on"]').click();
        await lead.locator(`[data-linked][data-rig="${id}"][data-filter="on"]`).waitFor();
      }
    });

    await step("the lead starts a practice 30 s before C2, unmistakable on every page", async () => {
      await lead.locator('[data-action="go-practice"]').click();
      await lead.locator('input[name="offset"]').fill("-0:30");
      await lead.locator('select[name="anchor"]').selectOption("C2");
      await lead.locator('[data-screen="practice"] form button[type="submit"]').click();
      await lead.locator('[data-page="lead"][data-practice="true"]').waitFor();
      for (const page of [west, south])
        await page.locator('[data-page="rig"][data-practice="true"]').waitFor();
      await board.locator('[data-page="board"][data-practice="true"]').waitFor();
      // West is capped for this run, so that its confirms are no mere touches (S8).
      await asked.say("west", { practiceSafe: true });
    });

    await step(
      "filter-off comes due on both phones; one confirms, the other does not, and the lead sees both",
      async () => {
        const { contacts } = await asked.run();
        await time.passTo(contacts.c2.realUtcMs - 21_000, hub);
        for (const page of [west, south]) {
          await page.locator('[data-instruction][data-cue="filter-off"][data-cue-state="now"]').waitFor();
        }
        // South's filter stays on under the real Sun: a touch is all it is asked for (S8).
        expect(await instruction(south).getAttribute("data-mode")).toBe("touch");
        await until("west's confirm is taken", async () => {
          const button = west.locator('[data-action="confirm"][data-cue="filter-off"] button');
          if ((await button.count()) > 0) await button.click({ timeout: 2000 }).catch(() => undefined);
          return (await west.locator('[data-action="filter"][data-filter="off"]').count()) > 0;
        });
        await lead.locator('[data-action="go-array"]').click();
        await lead.locator('[data-linked][data-rig="west"][data-filter="off"]').waitFor();
        await lead.locator('[data-linked][data-rig="south"][data-filter="on"]').waitFor();
        const { rigs } = await asked.run();
        const cue = (rigId: string) =>
          rigs
            .find((rig: { id: string }) => rig.id === rigId)
            .cues.find((item: { id: string }) => item.id === "filter-off").state;
        expect(cue("west")).toBe("done");
        expect(["now", "late"]).toContain(cue("south"));
        // Its filter is not to come off: it is none of those that need somebody.
        await lead.locator('[data-tile="south"]').waitFor();
      },
    );

    let before: { events: Awaited<ReturnType<LeadCalls["log"]>>; runId: string };
    let pressed: { from: number; to: number };

    await step(
      "the hub is killed in totality: the pages carry on showing cues, and keep a report",
      async () => {
        const { contacts, runId } = await asked.run();
        await time.passTo(contacts.c2.realUtcMs + 1000, hub);
        expect((await clockOf(west))?.now).toBeGreaterThan(contacts.c2.realUtcMs);
        expect(await board.locator("section[data-tone]").getAttribute("data-tone")).not.toBe("off");
        before = { events: await asked.log(), runId };
        await hub.kill();
        for (const page of [west, south])
          await page.locator('[data-page="rig"][data-link-state="alone"]').waitFor();
        await lead.locator('header [data-link-state="alone"]').waitFor();

        // Ten seconds before the middle (common practice, no source).
        await time.passTo(contacts.max.realUtcMs - 11_000);
        await west.locator('[data-instruction][data-cue="look-up"][data-cue-state="now"]').waitFor();
        const from = (await clockOf(west))?.now ?? 0;
        await west.locator('[data-action="help"]').click();
        await west.locator('[data-action="help"][data-calling="true"]').waitFor();
        pressed = { from, to: (await clockOf(west))?.now ?? 0 };
        expect(await west.locator("header [data-link-state]").textContent()).toMatch(/1 report/);
        expect((await clockOf(west))?.boundMs).toBeLessThan(1000);
      },
    );

    await step(
      "the hub comes back: the report arrives once, with the time it happened, and the state is whole",
      async () => {
        await hub.startAgain();
        for (const page of [west, south])
          await page.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
        // The lead is still signed in.
        await lead.locator('header [data-link-state="linked"]').waitFor();
        const arrived = async () =>
          (await asked.log()).filter((event) => event.actor === "rig:west" && event.payload.help === true);
        await until("the report is in the log", async () => (await arrived()).length > 0);
        await lead.locator('[data-linked][data-rig="west"][data-linked="true"]').waitFor();
        const reports = await arrived();
        expect(reports).toHaveLength(1);
        expect(reports[0]).toMatchObject({ type: "rigReported", runId: before.runId });
        expect(reports[0]?.observedUtcMs).toBeGreaterThanOrEqual(pressed.from - 1);
        expect(reports[0]?.observedUtcMs).toBeLessThanOrEqual(pressed.to + 1);
        const events = await asked.log();
        expect(events.slice(0, before.events.length)).toEqual(before.events);
        expect(events.map((event) => event.seq)).toEqual(events.map((_, index) => index + 1));
        // A plan's command makes an event for each rig; anything else makes one.
        const once = events.map(({ actor, commandId, type, payload }) =>
          JSON.stringify([actor, commandId, type, type === "rigPlanned" ? payload.rig : null]),
        );
        expect(new Set(once).size).toBe(events.length);
        expect(await asked.run()).toMatchObject({ runId: before.runId, kind: "practice" });
        await expect.poll(() => asked.rig("west")).toMatchObject({ filter: "off", linked: true, help: true });
        await expect.poll(() => asked.rig("south")).toMatchObject({ filter: "on", linked: true });
        await lead.locator('[data-alert="help"][data-rig="west"]').waitFor();
        await lead.locator('[data-linked][data-rig="west"][data-filter="off"]').waitFor();
        await lead.locator('[data-linked][data-rig="south"][data-filter="on"]').waitFor();
      },
    );

    await step(
      "cover every lens: one press, on every page, until a lead releases it by holding (S7)",
      async () => {
        await lead.locator('[data-action="cover"]').click();
        for (const page of [west, south]) await page.locator('[data-cover] [role="alertdialog"]').waitFor();
        await board.getByRole("alertdialog").waitFor();
        await lead.locator('[data-cover="standing"]').waitFor();
        // A phone that is opened only now obeys at once.
        const late = await open((await asked.link("south")).url, PHONE);
        await late.locator('[data-cover] [role="alertdialog"]').waitFor();
        await late.context().close();
        const release = lead.locator('[data-action="release-cover"] button');
        await until("released", async () => {
          await release.hover({ timeout: 5000 }).catch(() => undefined);
          await lead.mouse.down();
          await new Promise((resolve) => setTimeout(resolve, 1500));
          await lead.mouse.up();
          return (await lead.locator('[data-cover="standing"]').count()) === 0;
        });
        for (const page of [west, south, board])
          await page.getByRole("alertdialog").waitFor({ state: "detached" });
        expect((await asked.log()).filter((event) => event.type === "coverReleased")).toHaveLength(1);
      },
    );

    await step("the lead ends the practice, and the real run is as it was before", async () => {
      await lead.locator('[data-action="go-practice"]').click();
      await lead.locator('[data-action="end-practice"]').click();
      await lead.locator('[data-page="lead"][data-practice="false"]').waitFor();
      for (const page of [west, south])
        await page.locator('[data-page="rig"][data-practice="false"]').waitFor();
      const run = await asked.run();
      expect(run).toMatchObject({ kind: "real", cover: null });
      for (const rig of run.rigs) {
        expect(rig.filter).toBe("on");
        expect(rig.cues.filter((cue: { state: string }) => cue.state === "done")).toEqual([]);
      }
    });

    await step("nothing went wrong in any page", () => {
      expect(wrong).toEqual([]);
    });
  });
});
