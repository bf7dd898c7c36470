/**
 * What is measured in a page that is to be used by everybody: the rules of axe-core, the size of
 * what is pressed, and whether anything lies outside the screen's width.
 */
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { Page } from "playwright-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** WCAG 2.2 A and AA as axe-core (Deque) tells them apart, and its best practices. */
const ALL_RULES = {
  type: "tag",
  values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
};
/** Those of them that another palette can break. */
export const COLOUR_RULES = { type: "rule", values: ["color-contrast", "link-in-text-block"] };

/** Every violation as "rule: elements"; empty when there is none. */
export async function violations(page: Page, runOnly: object = ALL_RULES): Promise<string[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe);
  return page.evaluate(async (rules) => {
    const { axe: checker } = window as unknown as { axe: { run(options: object): Promise<any> } };
    const { violations: found } = await checker.run({ runOnly: rules, resultTypes: ["violations"] });
    const at = (node: any) => `${node.target} (${node.any[0]?.message ?? node.failureSummary})`;
    return found.map((rule: any) => `${rule.id}: ${rule.nodes.map(at).join(", ")}`);
  }, runOnly);
}

/** As console/parts/use-palette.ts does it, where a screen has no choice of its own in reach. */
export const wear = (page: Page, palette: string) =>
  page.evaluate((name) => {
    document.documentElement.dataset.palette = name;
  }, palette);

/** Of a finger: 88 px for confirm and filter, 44 px for all else (WCAG 2.2, 2.5.5: 44). */
const BIG =
  '[data-action="confirm"] button, [data-action="saw-totality"] button, [data-action="filter"]:enabled, [data-action="say-filter"]';
const BIG_PX = 88;
const TARGET_PX = 44;

/**
 * Targets that are too small, that lie over another, or whose words run out of them. What
 * scrolls beneath something that stands still must come free of it when it is scrolled to.
 */
export function badTargets(page: Page): Promise<string[]> {
  return page.evaluate(
    ({ big, bigPx, otherPx }) => {
      const name = (item: Element) =>
        `${item.tagName.toLowerCase()} “${(item.textContent || item.getAttribute("aria-label") || "").trim().slice(0, 40)}”`;
      const shown = [...document.querySelectorAll("button, a[href], input, select, textarea, summary")]
        .filter((item) => item.checkVisibility({ visibilityProperty: true }) && !item.closest("[inert]"))
        .map((item) => ({ item, box: item.getBoundingClientRect() }));
      const found: string[] = [];
      const overlap = (a: DOMRect, b: DOMRect) =>
        Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 &&
        Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
      const scroller = (item: Element) => {
        for (let at = item.parentElement; at; at = at.parentElement)
          if (/auto|scroll/.test(getComputedStyle(at).overflowY)) return at;
        return null;
      };
      const comesFree = (a: Element, b: Element) => {
        const within = [scroller(a), scroller(b)];
        if (within[0] === within[1]) return false;
        const scrolled = within[0] ?? within[1];
        const { scrollTop = 0 } = scrolled ?? {};
        (within[0] ? a : b).scrollIntoView({ block: "nearest" });
        const free = !overlap(a.getBoundingClientRect(), b.getBoundingClientRect());
        // Whoever looks next finds the page as it was.
        if (scrolled) scrolled.scrollTop = scrollTop;
        return free;
      };
      for (const [index, { item, box }] of shown.entries()) {
        const least = item.matches(big) ? bigPx : otherPx;
        // Half a pixel is lost in rounding.
        if (box.width < least - 0.5 || box.height < least - 0.5)
          found.push(`${name(item)}: ${box.width.toFixed(1)} × ${box.height.toFixed(1)} px of ${least}`);
        if (item.tagName === "BUTTON" && item.scrollHeight > item.clientHeight + 2)
          found.push(`${name(item)}: words of ${item.scrollHeight} px in ${item.clientHeight} px`);
        for (const { item: other, box: its } of shown.slice(index + 1)) {
          if (overlap(box, its) && !comesFree(item, other))
            found.push(`${name(item)} and ${name(other)} lie over each other`);
        }
      }
      return found;
    },
    { big: BIG, bigPx: BIG_PX, otherPx: TARGET_PX },
  );
}

/**
 * Whatever reaches out of the screen sideways, is cut off there by what holds it, or runs out of
 * its own box into its neighbour's; the innermost of each. What scrolls sideways by itself (a wide
 * table, a drawing) may: WCAG 2.2, 1.4.10.
 */
export function sidewaysOverflow(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const root = document.documentElement;
    const width = root.clientWidth;
    const found = new Map<Element, string>();
    const scrolls = (item: Element): boolean => {
      const { overflowX, overflowY } = getComputedStyle(item);
      // One that is meant to scroll down only gets "auto" for both.
      return ["auto", "scroll"].includes(overflowX) && overflowY !== "auto";
    };
    const inScroller = (item: Element | null): boolean =>
      item !== null && item !== document.body && (scrolls(item) || inScroller(item.parentElement));
    // What is for ears alone is clipped away.
    const readAloud = (item: Element): boolean =>
      [item, item.parentElement].some((at) => at && getComputedStyle(at).clipPath === "inset(50%)");
    for (const item of document.body.querySelectorAll("*")) {
      if (item.closest("svg, [hidden], noscript") || !item.checkVisibility() || readAloud(item)) continue;
      const { left, right, width: boxWidth } = item.getBoundingClientRect();
      const style = getComputedStyle(item);
      if (boxWidth === 0 || inScroller(item)) continue;
      const outside = left < -1 || right > width + 1;
      const overfull =
        style.display !== "inline" &&
        !["INPUT", "SELECT", "TEXTAREA"].includes(item.tagName) &&
        item.scrollWidth > item.clientWidth + 1;
      if (!outside && !overfull) continue;
      const text = (item.textContent ?? "").trim().slice(0, 40);
      found.set(
        item,
        `${item.tagName.toLowerCase()}.${item.getAttribute("class") ?? ""} ${outside ? "outside" : "overfull"}: ` +
          `${left.toFixed(0)} to ${right.toFixed(0)} of ${width}, ${item.scrollWidth} in ${item.clientWidth} “${text}”`,
      );
    }
    const innermost = [...found].filter(
      ([item]) => ![...found.keys()].some((other) => other !== item && item.contains(other)),
    );
    const page = root.scrollWidth > width ? [`page: ${root.scrollWidth} of ${width} px`] : [];
    return [...page, ...innermost.map(([, said]) => said)];
  });
}

/** What an operator needs on the run screen without touching it first. */
const NEEDED =
  '[data-instruction] h1, header [data-link-state], [role="timer"][data-large], [data-action="filter"], [data-action="help"], [data-action="say-filter"], [data-action="confirm"] button, [data-action="saw-totality"] button, [data-show]';

/** What stands in anybody's way: in both palettes, on a narrow screen and a wide one. Its size is as before then. */
export async function inTheWay(page: Page, narrow: { width: number; height: number }): Promise<string[]> {
  const found = await violations(page);
  await wear(page, "dusk");
  found.push(...(await violations(page, COLOUR_RULES)));
  await wear(page, "glare");
  const before = page.viewportSize();
  for (const size of [narrow, { width: 1920, height: 1080 }]) {
    await page.setViewportSize(size);
    found.push(...(await sidewaysOverflow(page)));
  }
  if (before) await page.setViewportSize(before);
  return found;
}

/**
 * What of a rig page is not in sight whole without scrolling: of the run screen the instruction, the
 * truth, the clock, what is to be pressed, every filter, help and the tabs; of the two long screens the
 * tabs. The page itself must not reach beyond the screen either. Other pages, and the cover, scroll.
 */
export function outOfSight(page: Page): Promise<string[]> {
  return page.evaluate((needed) => {
    const found: string[] = [];
    const rig = document.querySelector('[data-page="rig"]:not(:has([data-cover]))');
    if (!rig?.querySelector("[data-show]")) return found;
    const run = rig.querySelector("[data-instruction]") !== null;
    for (const item of document.querySelectorAll(run ? needed : "[data-show]")) {
      if (!item.checkVisibility({ visibilityProperty: true }) || item.closest("[inert]")) continue;
      const box = item.getBoundingClientRect();
      let [top, bottom] = [0, innerHeight];
      for (let at = item.parentElement; at && at !== document.body; at = at.parentElement) {
        if (getComputedStyle(at).overflowY === "visible") continue;
        const within = at.getBoundingClientRect();
        [top, bottom] = [Math.max(top, within.top), Math.min(bottom, within.bottom)];
      }
      const cut = Math.max(top - box.top, box.bottom - bottom);
      if (cut > 1)
        found.push(`${cut.toFixed(0)} of ${box.height.toFixed(0)} px of “${item.textContent}” are cut off`);
    }
    const beyond = document.documentElement.scrollHeight - innerHeight;
    if (beyond > 1) found.push(`the page reaches ${beyond} px beyond the screen`);
    return found;
  }, NEEDED);
}
