/**
 * S5 with real hubs whose machine is set wrong, or a phone: who is right, the program cannot know. One
 * phone that says 90 s otherwise makes filter-off wait for the eye and brings whatever makes safe earlier
 * by as much, on phones and board alike; whoever saw totality settles it as far as that can tell.
 *
 * Times are of this world's true clock: the real Sun is what must find every filter closed.
 */
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { step } from "../support/step.ts";
import { hold, press, type RealRun, startRealRun, tells, toldOn } from "./support/real-run.ts";
import { telescope } from "./support/site.ts";

const WRONG_MS = 90_000;

const nextOff = (page: Page) => page.locator('[data-next][data-cue="filter-off"]');
const glasses = (board: Page, word: "on" | "off") =>
  board.locator(`[data-page="board"][data-glasses="${word}"]`).waitFor();

describe("a hub 90 s slow, with one phone that knows better", () => {
  let run: RealRun;
  let phone: Page;
  let board: Page;
  let lead: Page;

  beforeAll(async () => {
    run = await startRealRun({ rigs: [telescope("west", "Ada")], hubWrongMs: -WRONG_MS });
    [phone, board, lead] = await Promise.all([run.phone(["west"]), run.board(), run.lead()]);
    await run.asked.say("west", { filter: "on" });
    await lead.locator('[data-alert="clock-disputed"][data-priority="danger"]').waitFor();
  });
  afterAll(() => run?.end());

  test("takes filter and glasses off by the eye alone, and has them on before the real Sun is back", async () => {
    await step("asks for the eye, and takes its word when totality is really there", async () => {
      await run.passTo("c2", -20);
      await nextOff(phone).and(phone.locator('[data-mode="by-eye"]')).waitFor();
      await tells(phone, { headline: "Filter stays on.", button: null });
      await run.passTo("c2", 1);
      await hold(run, phone, "saw-totality");
      await tells(phone, { cue: "filter-off", mode: "plain", headline: "Take the filter off." });
      await press(
        phone,
        "finger",
        { rig: "west", cue: "filter-off" },
        async () => (await toldOn(phone)).cue !== "filter-off",
      );
      // What one operator saw opens their rig; glasses come off by the lead's call alone.
      await glasses(board, "on");
      await hold(run, lead, "call-totality");
      await glasses(board, "off");
    });

    await step(
      "calls eyes down and glasses on before the real Sun is back, and the filter on in time after it",
      async () => {
        await run.passTo("c3", -14);
        await tells(phone, { cue: "burst-after", headline: "Eyes down. Burst." });
        await glasses(board, "on");
        await run.passTo("c3", 4);
        await tells(phone, { cue: "filter-on", state: "now", headline: "Put the filter on." });
        await glasses(board, "on");
      },
    );
  });
});

describe("a hub that is right, with one phone 90 s fast", () => {
  let run: RealRun;
  let seer: Page;
  let blind: Page;

  beforeAll(async () => {
    run = await startRealRun({ rigs: [telescope("seer", "Ada"), telescope("blind", "Ben")] });
    [seer, blind] = await Promise.all([run.phone(["seer"], { wrongMs: WRONG_MS }), run.phone(["blind"])]);
    for (const id of ["seer", "blind"]) await run.asked.say(id, { filter: "on" });
  });
  afterAll(() => run?.end());

  test("takes filters off by the eye alone, and calls eyes down 90 s early where nobody saw totality", async () => {
    await step("opens to the eye alone, on both phones", async () => {
      await run.passTo("c2", 2);
      for (const page of [seer, blind])
        await tells(page, { cue: "filter-off", mode: "by-eye", button: null });
      await hold(run, seer, "saw-totality");
      await tells(seer, { cue: "filter-off", mode: "plain" });
      await press(
        seer,
        "finger",
        { rig: "seer", cue: "filter-off" },
        async () => (await toldOn(seer)).cue !== "filter-off",
      );
      expect(await toldOn(blind)).toMatchObject({ cue: "filter-off", mode: "by-eye", button: null });
    });

    await step(
      "calls eyes down 90 s early where nobody saw totality, and on time where somebody did",
      async () => {
        // 105 s before C3 at the latest: 15 s, and 90 s of doubt.
        await run.passTo("c3", -104);
        await tells(blind, { cue: "burst-after", headline: "Eyes down. Burst." });
        // Once the brackets that a busy machine may have made late are done.
        await tells(seer, { headline: "Totality. Enjoy.", inForce: "enjoy" });
        await run.passTo("c3", -14);
        await tells(seer, { cue: "burst-after", headline: "Eyes down. Burst." });
        await run.passTo("c3", 4);
        await tells(seer, { cue: "filter-on", headline: "Put the filter on." });
      },
    );
  });
});
