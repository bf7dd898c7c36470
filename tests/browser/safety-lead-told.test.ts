/**
 * What the lead reads of calls and of cues in doubt is what stands: a call that something safe has ended
 * is not named as standing (S6), and nothing is too late before it could have begun (S5, S11).
 */
import { afterEach, describe, expect, test } from "vitest";
import { hold, type RealRun, startRealRun, tells, WAIT_MS } from "./support/real-run.ts";
import { telescope } from "./support/site.ts";

let run: RealRun | undefined;
afterEach(async () => {
  await run?.end();
  run = undefined;
});

describe("the lead's screen", () => {
  test("names no call of totality that “Sun returns” has ended, though that was taken back", async () => {
    run = await startRealRun({ rigs: [telescope("west", "Ada")] });
    const [phone, lead] = await Promise.all([run.phone(["west"]), run.lead()]);
    await run.asked.say("west", { filter: "on" });
    await run.passTo("c2", 40);
    await hold(run, lead, "call-totality");
    await lead.locator('[data-action="call-sun-returns"]').click();
    await lead.locator('[data-called="sun returns"] [data-action="take-back"]').click();
    await tells(phone, { cue: "filter-off", mode: "by-eye" });
    await lead.locator('[data-called="sun returns"]').waitFor({ state: "detached" });
    expect(await lead.locator("[data-called]").allTextContents()).toEqual([]);
  });

  test("calls no filter too late to open a minute before C2, where the place is not confirmed", async () => {
    run = await startRealRun({
      place: { latDeg: 24.475, lonDeg: 32.6, confirmed: false },
      rigs: [telescope("west", "Ada")],
    });
    const [phone, lead] = await Promise.all([run.phone(["west"]), run.lead()]);
    await run.asked.say("west", { filter: "on" });
    await run.passTo("c2", -59);
    await tells(phone, { cue: "bead-before" });
    const row = lead.locator('tr[data-rig="west"]');
    await expect.poll(() => row.textContent(), { timeout: WAIT_MS }).toContain("Bead exposure");
    expect(await row.textContent()).toContain("By eye only: filter off when you see totality.");
    await phone.locator('[data-next][data-cue="filter-off"][data-mode="by-eye"]').waitFor();
  });
});
