/**
 * A flash of the screen's edge, beside the sound: never more than three in a second (WCAG 2.3.1), and
 * none for people who asked for reduced motion. Drawn outside React, by one element of its own.
 */

/** At least this long from one flash to the next, ms. */
const FLASH_APART_MS = 350;
const FLASH_MS = 120;

/** Says which flashes may be shown. Pure; times are monotonic ms. */
export class FlashLimit {
  private lastMs = Number.NEGATIVE_INFINITY;

  allows(atMs: number): boolean {
    if (atMs - this.lastMs < FLASH_APART_MS) return false;
    this.lastMs = atMs;
    return true;
  }
}

const limit = new FlashLimit();
let sheet: HTMLElement | null = null;

export function flash(): void {
  if (matchMedia("(prefers-reduced-motion: reduce)").matches) return;
  if (!limit.allows(performance.now())) return;
  if (!sheet) {
    sheet = document.createElement("div");
    sheet.className = "rig-flash";
    sheet.setAttribute("aria-hidden", "true");
    document.body.append(sheet);
  }
  sheet.dataset.on = "";
  window.setTimeout(() => delete sheet?.dataset.on, FLASH_MS);
}
