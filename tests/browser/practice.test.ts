/**
 * A practice programme as a lead runs it and an operator meets it, and a drill on one phone while the hub
 * is frozen. It is noon at the site some months before the eclipse: under the real Sun practice is
 * touch only, but for what the lead has said to be capped (S8).
 */
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { launchChromium } from "../support/chromium.ts";
import { step } from "../support/step.ts";
import { until } from "../support/until.ts";
import { type MovedTime, movedTime, NOON_UTC } from "./support/moved-time.ts";
import { openPage, signIn } from "./support/open-page.ts";
import { violations } from "./support/page-checks.ts";
import { type LeadCalls, leadCalls, planSite } from "./support/site.ts";
import { type HubProcess, startHubProcess } from "./support/start-hub.ts";

const WAIT_MS = 30_000;
let time: MovedTime;
let hub: HubProcess;
let asked: LeadCalls;
let browser: Browser;
const wrong: string[] = [];

const open = (url: string, viewport: { width: number; height: number }) =>
  openPage(browser, url, { viewport, waitMs: WAIT_MS, time, wrong });

const PHONE = { width: 390, height: 844 };
const LAPTOP = { width: 1366, height: 768 };

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

describe("practice", () => {
  test("is a programme: people, a fault, a pause, the debrief, and the runs side by side", async () => {
    const phone = await open((await asked.link("west")).url, PHONE);
    await phone.locator('[data-page="rig"][data-link-state="linked"]').waitFor();
    const lead = await open(`${hub.url}/lead`, LAPTOP);

    await step("before the start the lead says who is missing and what is really capped", async () => {
      await signIn(lead, "Ada");
      await lead.locator('[data-action="go-practice"]').click();
      await lead.locator('li[data-rig="west"][data-linked="true"]').waitFor();
      const tick = (part: string, rigId: string) =>
        lead.locator(`input[name="${part}"][data-rig="${rigId}"]`);
      await tick("played", "west").setChecked(false);
      expect(await tick("played", "south").isChecked()).toBe(true);
      expect(await tick("safe", "south").isChecked()).toBe(false);
      await tick("safe", "south").check();
      await lead.locator('input[name="offset"]').fill("-0:40");
      await lead.locator('input[name="until"]').fill("0:20");
      await lead.locator('select[name="until-anchor"]').selectOption("C2");
      await lead.locator('input[name="rate"]').fill("2");
      await lead.locator('input[name="repeats"]').fill("2");
      expect(await violations(lead)).toEqual([]);
      await lead.locator('[data-action="start-practice"]').click();
    });

    await step(
      "the rate stands on every page, and the phone of a rig that is not capped says touch",
      async () => {
        const board = await open(`${hub.url}/board`, LAPTOP);
        for (const page of [lead, phone, board])
          await page.locator('.practice-banner[data-rate="2"]').waitFor();
        await board.context().close();
        await until(
          "the simulated operator has spoken",
          async () => (await asked.rig("south")).filter === "on",
        );
        expect((await asked.ask("GET", "/api/practice")).played).toEqual(["south"]);
        expect((await asked.rig("south")).practiceSafe).toBe(true);
        await phone.locator('[data-cue="filter-off"][data-mode="touch"]').first().waitFor();
      },
    );

    await step("a fault is thrown and seen on the array's side", async () => {
      await lead.locator('[data-action="go-practice"]').click();
      await lead.locator('select[name="fault-rig"]').selectOption("south");
      await lead.locator('[data-action="fault-card-full"]').click();
      await lead.locator('li[data-fault="card full"][data-on="true"]').waitFor();
      await until("it is an alert", async () =>
        (await asked.run()).alerts.some(({ id }: { id: string }) => id === "card-full:south"),
      );
    });

    await step("the segment ends by itself; after the pause comes the next part", async () => {
      const { practice } = await asked.run();
      await time.passTo(practice.endsAtUtcMs + 500, hub);
      await lead.locator("[data-practice-pause]").waitFor();
      await phone.locator('[data-page="rig"][data-practice="false"]').waitFor();
      await lead.locator('[data-action="begin-next"]').click();
      await lead.locator("[data-practice-run]").waitFor();
      expect((await asked.ask("GET", "/api/practice")).programme.part).toBe(2);
    });

    await step("the last part's end leads to its debrief by itself, not to the blank form", async () => {
      const { practice } = await asked.run();
      await time.passTo(practice.endsAtUtcMs + 500, hub);
      await lead.locator(`.debrief[data-run="${practice.runId}"] ul li`).first().waitFor();
      const review = await asked.ask("GET", `/api/review?run=${practice.runId}`);
      const shown = async (rigId: string) =>
        lead.locator(`.rig-overview tr[data-rig="${rigId}"] td`).allTextContents();
      for (const { id } of review.rigs) {
        const of = (score: string) => {
          const count = review.cues.filter(
            (cue: { rigId: string; score: string }) => cue.rigId === id && cue.score === score,
          ).length;
          return count === 0 ? "–" : String(count);
        };
        expect((await shown(id)).slice(0, 4)).toEqual(["on time", "early", "late", "missed"].map(of));
      }
      // Beside the part before it.
      await lead.locator('[data-earlier="1"] tr[data-this]').waitFor();
      expect(await violations(lead)).toEqual([]);
    });

    await step("on paper it is all there: nothing of the frame, nothing cut at a page's end", async () => {
      await lead.emulateMedia({ media: "print" });
      const main = lead.locator(".console__main");
      const hidden = await main.evaluate((of) => of.scrollHeight - of.clientHeight);
      const frame = await lead.locator(".console").evaluate((of) => of.scrollHeight - of.clientHeight);
      expect([hidden, frame].filter((px) => px > 1)).toEqual([]);
      for (const outside of [".main-nav", ".run-header", ".action-bar", '[data-action="print-debrief"]'])
        expect(await lead.locator(outside).first().isVisible()).toBe(false);
      await lead.emulateMedia({ media: "screen" });
    });

    await step("and that leads to the runs side by side", async () => {
      await lead.locator('[data-action="compare-runs"]').click();
      await lead.locator("[data-progress] [data-rig] svg").first().waitFor();
      expect(await violations(lead)).toEqual([]);
      const { realRunRigs } = { realRunRigs: (await asked.run()).rigs };
      expect(realRunRigs.every((rig: { cardFreeGB: number | null }) => rig.cardFreeGB === null)).toBe(true);
    });
    await step(
      "who needs longer than planned three times is offered that, and one tap plans it",
      async () => {
        const hands = async (): Promise<number> => {
          const { rigs } = await asked.ask("GET", "/api/plan");
          const { cues } = rigs.find(({ id }: { id: string }) => id === "west");
          return cues.find(({ id }: { id: string }) => id === "filter-off").handsS;
        };
        const tookS = (await hands()) + 7;
        for (let run = 0; run < 3; run++) {
          await asked.practise("C2", -22);
          const { contacts } = await asked.run();
          await time.passTo(contacts.c2.realUtcMs - 20_000 + tookS * 1000, hub);
          await asked.say("west", { cueDone: "filter-off" });
          await asked.endPractice();
        }
        await lead.goto(`${hub.url}/lead#record/practices`);
        await lead.reload();
        const offer = lead.locator('[data-progress] [data-rig="west"] [data-action="set-hands"]');
        const offeredS = Number((await offer.textContent())?.match(/\d+/)?.[0]);
        expect(offeredS).toBeGreaterThanOrEqual(tookS);
        await offer.click();
        await expect.poll(hands).toBe(offeredS);
      },
    );
    await lead.context().close();

    await step("one phone practises alone while the hub is frozen, and nobody hears of it", async () => {
      const before = (await asked.log()).filter(({ type }) => type !== "clockNoted").length;
      await phone.goto(`${hub.url}/drill`);
      await phone.locator('[data-page="drill"][data-why-not="none"]').waitFor();
      expect(await violations(phone)).toEqual([]);
      hub.freeze();
      await phone.locator('[data-segment="open"]').click();
      await phone.locator('[data-page="rig"][data-practice="true"]').waitFor();
      await phone.locator('[data-question="filter"] [data-word="on"]').click();
      await phone.locator('[data-action="filter"][data-filter="on"]').waitFor();
      await phone.locator('[data-action="end-drill"]').click();
      await phone.locator("[data-cues]").waitFor();
      hub.thaw();
      const news = (await asked.log()).slice(before).filter(({ type }) => type === "rigReported");
      expect(news.filter(({ payload }) => payload.filter !== undefined)).toEqual([]);
      expect((await asked.run()).kind).toBe("real");
    });
    expect(wrong).toEqual([]);
  });
});
