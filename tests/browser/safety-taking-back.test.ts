/**
 * S6: taking back is not unfiltering. "Sun returns", "stay filtered" and the cover end a call of
 * totality for good: one click on "Take it back", or the cover's release, brings no glasses and no
 * filter off before somebody has held the call anew. And a board without its hub says glasses on, in
 * one voice (S13).
 *
 * A board and a phone write down everything that they say from the safe call on, so that nothing is
 * missed between two looks.
 */
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import {
  filterOn,
  hold,
  press,
  type RealRun,
  startRealRun,
  tells,
  toldOn,
  WAIT_MS,
} from "./support/real-run.ts";
import { telescope } from "./support/site.ts";

interface Listening extends Window {
  unfiltered?: string[];
}

let run: RealRun;
let board: Page;
let opened: Page;
let closed: Page;
let lead: Page;

beforeAll(async () => {
  run = await startRealRun({ rigs: [telescope("opened", "Ada"), telescope("closed", "Ben")] });
  [opened, closed, board, lead] = await Promise.all([
    run.phone(["opened"]),
    run.phone(["closed"]),
    run.board(),
    run.lead(),
  ]);
  for (const id of ["opened", "closed"]) await run.asked.say(id, { filter: "on" });
  await run.passTo("c2", 40);
});
afterAll(() => run?.end());

const glasses = (word: "on" | "off") =>
  board.locator(`[data-page="board"][data-glasses="${word}"]`).waitFor({ timeout: WAIT_MS });

/** Writes down whatever unfilters, from now on. */
const listen = (page: Page): Promise<void> =>
  page.evaluate(() => {
    const world = window as Listening;
    const said: string[] = [];
    world.unfiltered = said;
    const look = (): void => {
      const board = document.querySelector<HTMLElement>("[data-page=board]");
      if (board?.dataset.glasses === "off") said.push("glasses off");
      if (/glasses off|look up/i.test(board?.textContent ?? "")) said.push(board?.textContent ?? "");
      for (const cue of document.querySelectorAll<HTMLElement>("[data-instruction], [data-next]"))
        if (cue.dataset.cue === "filter-off" && cue.dataset.mode === "plain") said.push("filter off");
    };
    new MutationObserver(look).observe(document.body, {
      attributes: true,
      characterData: true,
      childList: true,
      subtree: true,
    });
    look();
  });
const heard = (page: Page): Promise<string[]> => page.evaluate(() => (window as Listening).unfiltered ?? []);

/** Somebody sees totality and holds the call: glasses and filters may come off. */
async function callTotality(): Promise<void> {
  await hold(run, lead, "call-totality");
  await glasses("off");
  await tells(closed, { cue: "filter-off", mode: "plain", headline: "Take the filter off." });
}

/** What is to be seen a good while after something was taken back: nothing that unfilters. */
async function staysSafe(): Promise<void> {
  await tells(closed, { cue: "filter-off", mode: "by-eye", button: null });
  await glasses("on");
  // As long as any page takes to look again (four times a second), and then some.
  await board.waitForTimeout(1200);
  for (const page of [board, closed]) expect(await heard(page)).toEqual([]);
  expect((await toldOn(opened)).headline).toBe("Filter stays on.");
}

describe("in totality, glasses and a filter off by a call of the eye", () => {
  test("“Sun returns” by mistake: told at once, and taking it back opens nothing", async () => {
    await callTotality();
    await press(
      opened,
      "finger",
      { rig: "opened", cue: "filter-off" },
      async () => (await filterOn(opened, "opened")) === "off",
    );
    await lead.locator('[data-action="call-sun-returns"]').click();
    await glasses("on");
    await tells(opened, { cue: "filter-on", headline: "Put the filter on." });
    await tells(closed, { cue: "filter-on", headline: "Put the filter on." });
    for (const page of [board, closed]) await listen(page);
    await press(
      opened,
      "finger",
      { rig: "opened", cue: "filter-on" },
      async () => (await filterOn(opened, "opened")) === "on",
    );
    await lead.locator('[data-called="sun returns"] [data-action="take-back"]').click();
    await staysSafe();
    // Nor is the call named as standing that it has ended.
    await lead.locator('[data-called="sun returns"]').waitFor({ state: "detached" });
    expect(await lead.locator("[data-called]").allTextContents()).toEqual([]);
  });

  test.each([
    ["“stay filtered”", "call-stay-filtered"],
    ["the cover", "cover"],
  ])("a fresh held call opens; %s closes, and taking it back opens nothing", async (_what, action) => {
    await callTotality();
    await lead.locator(`[data-action="${action}"]`).click();
    await glasses("on");
    if (action === "cover") await closed.getByRole("alertdialog").waitFor();
    else await tells(closed, { cue: "filter-off", mode: "stay", button: null });
    for (const page of [board, closed]) await listen(page);
    if (action === "cover") {
      await hold(run, lead, "release-cover");
      await closed.getByRole("alertdialog").waitFor({ state: "detached" });
    } else await lead.locator('[data-action="take-back"]').click();
    await staysSafe();
  });

  test("a board without its hub says glasses on in one voice, and the call again when it is back", async () => {
    await callTotality();
    run.hub.freeze();
    try {
      await board.locator('[data-page="board"][data-link="alone"]').waitFor();
      await glasses("on");
      await listen(board);
      await board.waitForTimeout(600);
      expect(await heard(board)).toEqual([]);
      // A phone beside its rig goes on by what it holds.
      expect((await toldOn(closed)).mode).toBe("plain");
    } finally {
      run.hub.thaw();
    }
    await glasses("off");
  });
});
