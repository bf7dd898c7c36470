/**
 * S9: there is never an open filter without a filter-on cue that is ahead, now or late, nor an open
 * looked-through rig without its eyes-away; and a press meant for one cue confirms no other. Played in
 * real runs, with real pages, keys and fingers, by people who act out of order.
 */
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { step } from "../support/step.ts";
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

const camera = (id: string) => telescope(id, "Ada");
const scope = (id: string) => ({ ...camera(id), kind: "visual-telescope", lookedThrough: true });
const tapMark = (page: Page, rigId: string) =>
  page.locator(`[data-action="filter"][data-rig="${rigId}"]`).click();

const filterBecomes = (page: Page, rigId: string, word: string) =>
  page.locator(`[data-action="filter"][data-rig="${rigId}"][data-filter="${word}"]`).waitFor();

/** The confirms of a rig that the hub has in its log, in their order. */
async function confirms(run: RealRun, rigId: string): Promise<unknown[]> {
  return (await run.asked.log())
    .filter(({ payload }) => payload.rigId === rigId && payload.cueDone)
    .map(({ payload }) => payload.cueDone);
}

describe("an eyepiece where the place leaves most of totality open", () => {
  let run: RealRun;
  let phone: Page;
  let lead: Page;

  beforeAll(async () => {
    // A minute of totality near the path's edge, whose ends may be that far off.
    run = await startRealRun({
      place: { latDeg: 24.44, placeBoundM: 15_000 },
      beginsUtc: "2027-08-02T09:56:40Z",
      rigs: [scope("scope")],
    });
    [phone, lead] = await Promise.all([run.phone(["scope"]), run.lead()]);
    await phone.locator('[data-question="filter"] [data-word="on"]').click();
    await filterBecomes(phone, "scope", "on");
  });
  afterAll(() => run?.end());

  test("is told to leave the filter on, and told at once when it is open all the same", async () => {
    await step(
      "is told to leave the filter on though totality is called, and opened all the same is told at once",
      async () => {
        await run.passTo("c2", 11);
        // Doubt has brought the way back before the way out: it is obeyed, and settles nothing to come.
        await tells(phone, { cue: "filter-on", mode: "plain" });
        await press(phone, "finger", { rig: "scope", cue: "filter-on" }, async () =>
          (await confirms(run, "scope")).includes("filter-on"),
        );
        await hold(run, lead, "call-totality");
        await lead.locator('[data-called="totality"]').waitFor();
        await phone.locator('[data-call="totality"]').waitFor();
        await tells(phone, { headline: "Filter stays on.", inForce: "filter-stays", button: null });

        await tapMark(phone, "scope");
        await tells(phone, { cue: "filter-on", rig: "scope", exposed: true, danger: true });
        expect((await toldOn(phone)).headline).toBe("Eyes away. Filter on.");
        await lead.locator('[data-alert="exposed"][data-priority="danger"][data-rig="scope"]').waitFor();
      },
    );

    await step("nor does its second confirm settle a second opening", async () => {
      await press(
        phone,
        "Enter",
        { rig: "scope", cue: "filter-on" },
        async () => (await filterOn(phone, "scope")) === "on",
      );
      await lead.locator('[data-alert="exposed"]').waitFor({ state: "detached" });
      await tapMark(phone, "scope");
      await tells(phone, { headline: "Eyes away. Filter on.", exposed: true });
      await run.passTo("c3", 20);
      await tells(phone, { headline: "Eyes away. Filter on.", state: "late", danger: true });
    });
  });
});

describe("a long totality, with people who act out of order", () => {
  const FOUR = ["corona", "refractor", "tripod", "scope"];
  let run: RealRun;
  let key: Page;
  let idle: Page;
  let pair: readonly [Page, Page];
  let four: Page;
  let lead: Page;

  beforeAll(async () => {
    const rigs = [
      ...["key", "pair", "corona", "refractor", "tripod"].map(camera),
      ...["idle", "scope"].map(scope),
    ];
    run = await startRealRun({ rigs });
    let [a, b]: Page[] = [];
    [key, idle, a, b, four, lead] = await Promise.all([
      run.phone(["key"]),
      run.phone(["idle"]),
      run.phone(["pair"]),
      run.phone(["pair"]),
      run.phone(FOUR),
      run.lead(),
    ]);
    pair = [a, b];
    for (const { id } of rigs) await run.asked.say(id, { filter: "on" });
  });
  afterAll(() => run?.end());

  test("ends with every filter on", async () => {
    await step(
      "a filter-off that nobody confirms stays, with its button, and the lead reads whose",
      async () => {
        await run.passTo("c2", 60);
        for (const page of [key, idle])
          await tells(page, {
            cue: "filter-off",
            state: "late",
            mode: "plain",
            headline: "Take the filter off.",
          });
        const still = async () => {
          const alerts = await lead.locator('[data-alert="still-filtered"]').all();
          return Promise.all(alerts.map((alert) => alert.getAttribute("data-rig")));
        };
        await expect.poll(still, { timeout: WAIT_MS }).toContain("idle");
        expect(await lead.locator('[data-need="idle"]').textContent()).toContain("Idle telescope");
        await press(
          key,
          "Enter",
          { rig: "key", cue: "filter-off" },
          async () => (await filterOn(key, "key")) === "off",
        );
        await expect.poll(() => confirms(run, "key"), { timeout: WAIT_MS }).toEqual(["filter-off"]);
        await tapMark(pair[0], "pair");
        for (const id of FOUR) await tapMark(four, id);
        await expect.poll(still, { timeout: WAIT_MS }).toEqual(["idle"]);
      },
    );

    await step(
      "“Sun returns” by mistake, obeyed and taken back, opens nothing before a fresh held call",
      async () => {
        await hold(run, lead, "call-totality");
        await lead.locator('[data-called="totality"]').waitFor();
        await lead.locator('[data-action="call-sun-returns"]').click();
        await tells(key, { cue: "filter-on", headline: "Put the filter on." });
        await tells(idle, { headline: "Filter stays on.", button: null });
        await press(
          key,
          "finger",
          { rig: "key", cue: "filter-on" },
          async () => (await filterOn(key, "key")) === "on",
        );
        await lead.locator('[data-action="take-back"]').click();
        await tells(idle, { cue: "filter-off", mode: "by-eye", button: null });
        await tells(key, { headline: "Filter stays on.", button: null });
        await hold(run, lead, "call-totality");
        await tells(idle, { cue: "filter-off", mode: "plain", headline: "Take the filter off." });
        await tapMark(key, "key");
        await filterBecomes(key, "key", "off");
      },
    );

    await step("too late to open it is left on, with nothing to press", async () => {
      await run.passTo("c3", -38);
      await tells(idle, { cue: "filter-off", mode: "too-late", button: null });
      expect((await toldOn(idle)).headline).toBe("Too late to open. The filter stays on.");
      for (const page of [idle, lead]) await page.context().close();
    });

    await step(
      "a key under “Eyes down. Burst.” confirms nothing; of four rigs headline and button are of one",
      async () => {
        await run.passTo("c3", -14);
        const before = await confirms(run, "key");
        await Promise.all([
          (async () => {
            await tells(key, { cue: "burst-after", headline: "Eyes down. Burst.", button: null });
            for (let n = 0; n < 3; n++) {
              await key.keyboard.press("Enter");
              await key.waitForTimeout(450);
            }
          })(),
          (async () => {
            // The eyepiece is closed before the cameras' burst (S3).
            await tells(four, {
              rig: "scope",
              cue: "filter-on",
              button: { rig: "scope", cue: "filter-on" },
            });
            await press(
              four,
              "finger",
              { rig: "scope", cue: "filter-on" },
              async () => (await filterOn(four, "scope")) === "on",
            );
            await tells(four, { cue: "burst-after", headline: "Eyes down. Burst.", button: null });
          })(),
        ]);
        // Whatever a key said is in the log before what is said after it.
        await key.locator('[data-action="help"]').click();
        await expect.poll(async () => (await run.asked.rig("key")).help, { timeout: WAIT_MS }).toBe(true);
        expect(await confirms(run, "key")).toEqual(before);
        for (const id of ["corona", "refractor", "tripod"]) expect(await filterOn(four, id)).toBe("off");
      },
    );

    await step("at the real C3 the filter goes on everywhere, whatever was confirmed before", async () => {
      await run.passTo("c3", 6);
      await tells(key, { cue: "filter-on", headline: "Put the filter on." });
      await press(
        key,
        "Enter",
        { rig: "key", cue: "filter-on" },
        async () => (await filterOn(key, "key")) === "on",
      );
      for (let left = 3; left > 0; left--) {
        await tells(four, { cue: "filter-on", headline: "Put the filter on." });
        const told = await toldOn(four);
        const rig = told.rig ?? "";
        expect(told.button).toMatchObject({ rig, cue: "filter-on" });
        await press(
          four,
          "finger",
          { rig, cue: "filter-on" },
          async () => (await filterOn(four, rig)) === "on",
        );
      }
      await tells(four, { headline: "Filters stay on.", button: null });
    });

    await step(
      "of two phones on one rig, one that confirms does not silence the other that saw it off",
      async () => {
        for (const page of pair) await tells(page, { cue: "filter-on", headline: "Put the filter on." });
        await press(pair[1], "finger", { rig: "pair", cue: "filter-on" }, async () =>
          (await confirms(run, "pair")).includes("filter-on"),
        );
        // The other phone has said "off" and nothing since: off holds, and both are told again.
        await expect
          .poll(async () => (await run.asked.rig("pair")).filterDisputed, { timeout: WAIT_MS })
          .toBe(true);
        for (const page of pair) {
          await tells(page, { cue: "filter-on", headline: "Put the filter on." });
          expect(await filterOn(page, "pair")).toBe("off");
        }
        await press(
          pair[0],
          "finger",
          { rig: "pair", cue: "filter-on" },
          async () => (await filterOn(pair[0], "pair")) === "on",
        );
        for (const page of pair) await tells(page, { headline: "Filter stays on.", button: null });
        expect(await run.asked.rig("pair")).toMatchObject({ filter: "on", filterDisputed: false });
      },
    );
  });
});
