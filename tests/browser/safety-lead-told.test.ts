/**
 * What the lead reads of cues in doubt is what stands: nothing is too late before it could have begun
 * (S5, S11). That no ended call is named as standing (S6) is looked at in safety-taking-back.test.ts.
 */
import { afterEach, describe, expect, test } from "vitest";
import { type RealRun, startRealRun, tells, WAIT_MS } from "./support/real-run.ts";
import { telescope } from "./support/site.ts";

let run: RealRun | undefined;
afterEach(async () => {
  await run?.end();
  run = undefined;
});

describe("the lead's screen", () => {
  test("calls no filter too late to open a minute before C2, where the place is not confirmed", async () => {
    run = await startRealRun({
      place: { latDeg: 24.475, lonDeg: 32.6, confirmed: false },
      rigs: [telescope("west", "Ada")],
    });
    const [phone, lead] = await Promise.all([run.phone(["west"]), run.lead()]);
    await run.asked.say("west", { filter: "on" });
    await run.passTo("c2", -59);
    await tells(phone, { cue: "bead-before" });
    const row = lead.locator('[data-linked][data-rig="west"]');
    await expect.poll(() => row.textContent(), { timeout: WAIT_MS }).toContain("Bead exposure");
    // After so long a leap the phone has to be heard again before its filter counts as known.
    await expect
      .poll(() => row.textContent(), { timeout: WAIT_MS })
      .toContain("By eye only: filter off when you see totality.");
    await phone.locator('[data-next][data-cue="filter-off"][data-mode="by-eye"]').waitFor();
  });
});
