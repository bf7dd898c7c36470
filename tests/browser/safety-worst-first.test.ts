/**
 * S1: a filter open in sunlight is the first thing that its phone says, eyes first, and the whole page
 * says it. And what stands largest is true now: between cues the state in force, what comes is small.
 * On a common phone and on a small one (common practice, no source), in a real run.
 */
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { filterOn, PHONE, press, type RealRun, startRealRun, tells, toldOn } from "./support/real-run.ts";
import { telescope } from "./support/site.ts";

const SIZES = [PHONE, { width: 360, height: 640 }];

let run: RealRun;
let scope: Page;
let camera: Page;

beforeAll(async () => {
  const eyepiece = { ...telescope("scope", "Ben"), kind: "visual-telescope", lookedThrough: true };
  run = await startRealRun({ rigs: [eyepiece, telescope("camera", "Ada")] });
  [scope, camera] = await Promise.all([run.phone(["scope"]), run.phone(["camera"])]);
  for (const id of ["scope", "camera"]) await run.asked.say(id, { filter: "on" });
});
afterAll(() => run?.end());

/** What is not in sight whole without scrolling, or is covered there. */
function hidden(page: Page, selectors: readonly string[]): Promise<string[]> {
  return page.evaluate(
    (all) =>
      all.filter((selector) => {
        const item = document.querySelector(selector);
        if (!item) return true;
        const { top, bottom, left, right } = item.getBoundingClientRect();
        if (top < 0 || left < 0 || bottom > innerHeight + 1 || right > innerWidth + 1) return true;
        const there = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
        return !there || !(item.contains(there) || there.contains(item));
      }),
    selectors,
  );
}

const largest = (page: Page): Promise<{ headlinePx: number; comingPx: number; coming: string }> =>
  page.evaluate(() => {
    const px = (item: Element) => Number.parseFloat(getComputedStyle(item).fontSize);
    const coming = [...document.querySelectorAll("[data-next], [data-next] *")];
    return {
      headlinePx: px(document.querySelector("[data-instruction] h1") as Element),
      comingPx: Math.max(0, ...coming.map(px)),
      coming: coming.map((item) => item.textContent).join(" "),
    };
  });

async function onEverySize(page: Page, look: () => Promise<void>): Promise<void> {
  for (const size of SIZES) {
    await page.setViewportSize(size);
    await look();
  }
}

describe("between cues", () => {
  test("“Filter stays on.” is largest and the coming cues are small, before C2 and past the clock's time", async () => {
    await run.passTo("c2", -64);
    await stands(camera, "Filter stays on.", "Bead exposure");
    await run.passTo("c2", -25);
    // An eyepiece may open ten seconds after C2: until then nothing on it says so in large letters.
    await stands(scope, "Filter stays on.", "Take the filter off.");
    await run.passTo("c2", 60);
    for (const page of [scope, camera]) {
      await tells(page, { cue: "filter-off", headline: "Take the filter off." });
      const rig = page === scope ? "scope" : "camera";
      await press(
        page,
        "finger",
        { rig, cue: "filter-off" },
        async () => (await filterOn(page, rig)) === "off",
      );
    }
    await stands(camera, "Totality. Enjoy.", "Pause for totality.");
  });

  async function stands(page: Page, headline: string, coming: string): Promise<void> {
    await tells(page, { headline, cue: null, danger: false, button: null });
    await onEverySize(page, async () => {
      const sizes = await largest(page);
      if (page.viewportSize()?.height === PHONE.height) expect(sizes.coming).toContain(coming);
      expect(sizes.comingPx).toBeGreaterThan(0);
      expect(sizes.headlinePx).toBeGreaterThan(1.5 * sizes.comingPx);
      expect(await hidden(page, ["[data-instruction] h1"])).toEqual([]);
    });
  }
});

describe("open in sunlight", () => {
  beforeAll(async () => {
    for (const [rig, page] of Object.entries({ scope, camera })) {
      if ((await filterOn(page, rig)) === "off") continue;
      await page.locator(`[data-action="filter"][data-rig="${rig}"]`).click();
      await expect.poll(() => filterOn(page, rig)).toBe("off");
    }
    await run.passTo("c3", 20);
  });

  test.each([
    ["an eyepiece", () => scope, "Eyes away. Filter on."],
    ["a camera", () => camera, "Put the filter on."],
  ])(
    "%s: the headline, the whole page, the mark and the button say it without scrolling",
    async (_what, of, words) => {
      const page = of();
      await tells(page, { cue: "filter-on", headline: words, exposed: true, danger: true });
      await onEverySize(page, async () => {
        expect(await toldOn(page)).toMatchObject({ headline: words, button: { cue: "filter-on" } });
        const needed = [
          "[data-instruction] h1",
          '[data-action="filter"][data-filter="off"][data-exposed="true"]',
          '[data-action="confirm"] button',
        ];
        expect(await hidden(page, needed)).toEqual([]);
      });
      const rig = page === scope ? "scope" : "camera";
      await press(page, "finger", { rig, cue: "filter-on" }, async () => !(await toldOn(page)).danger);
    },
  );
});
