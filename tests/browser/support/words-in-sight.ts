/**
 * Whether every word on a page is in sight whole: none outside the screen or cut off by what holds it, none
 * over another. Measured line by line where the words are drawn, so that an ellipsis, a clamp or a row that
 * is too low is found whatever the styles say.
 */
import type { Page } from "playwright-core";

type What = "cut" | "over";

/** Words outside the screen, or outside what clips them. Px are of the page; a pixel is lost in rounding. */
export function cutWords(page: Page): Promise<string[]> {
  return page.evaluate<string[], What>(measure, "cut");
}

/** Words that lie over other words. */
export function wordsOverWords(page: Page): Promise<string[]> {
  return page.evaluate<string[], What>(measure, "over");
}

/** In the page. */
function measure(what: What): string[] {
  const lines: { text: string; box: DOMRect; of: Element }[] = [];
  const found: string[] = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const of = node.parentElement;
    const text = (node.textContent ?? "").trim();
    if (!of || text === "" || of.closest("option, script, style, noscript")) continue;
    if (!of.checkVisibility({ visibilityProperty: true })) continue;
    let forEars = false;
    for (let at: Element | null = of; at; at = at.parentElement)
      forEars ||= getComputedStyle(at).clipPath === "inset(50%)";
    if (forEars) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) lines.push({ text: text.slice(0, 40), box, of });
  }
  if (what === "over") {
    // Ascenders and descenders of lines set close may share a few pixels: the letters' middle may not.
    const slack = (box: DOMRect) => box.height * 0.2;
    for (const [index, a] of lines.entries())
      for (const b of lines.slice(index + 1)) {
        if (a.of === b.of) continue;
        const across = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
        const down =
          Math.min(a.box.bottom - slack(a.box), b.box.bottom - slack(b.box)) -
          Math.max(a.box.top + slack(a.box), b.box.top + slack(b.box));
        if (across > 1 && down > 1) found.push(`“${a.text}” lies over “${b.text}”`);
      }
    return found;
  }
  for (const { text, box, of } of lines) {
    let [left, top, right, bottom] = [0, 0, innerWidth, innerHeight];
    for (let at: Element | null = of; at && at !== document.body; at = at.parentElement) {
      const { overflowX, overflowY } = getComputedStyle(at);
      if (overflowX === "visible" && overflowY === "visible") continue;
      const within = at.getBoundingClientRect();
      [left, right] = [Math.max(left, within.left), Math.min(right, within.right)];
      [top, bottom] = [Math.max(top, within.top), Math.min(bottom, within.bottom)];
    }
    const cut = Math.max(left - box.left, box.right - right, top - box.top, box.bottom - bottom);
    // Leading above and below the letters is no part of them.
    if (cut > 1 + box.height * 0.1) found.push(`${cut.toFixed(0)} px of “${text}” are cut off`);
  }
  return found;
}
