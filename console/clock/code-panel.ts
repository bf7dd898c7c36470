/**
 * Draws a code on a canvas, one pixel a module with the quiet zone of four that the standard asks for
 * (ISO/IEC 18004, 5.3.8); the page scales it up without smoothing. Light modules are left clear: the
 * canvas's background is the paper.
 */
import QRCode from "qrcode";

const QUIET = 4;
/** Version 1 has 21 modules a side. */
export const PANEL_MODULES = 21 + 2 * QUIET;

export function drawCode(canvas: HTMLCanvasElement, digits: string): void {
  const context = canvas.getContext("2d");
  if (!context) return;
  const { modules } = QRCode.create([{ data: digits, mode: "numeric" }], {
    version: 1,
    errorCorrectionLevel: "H",
  });
  context.clearRect(0, 0, PANEL_MODULES, PANEL_MODULES);
  context.fillStyle = "#0d0a06";
  for (let row = 0; row < modules.size; row++) {
    for (let column = 0; column < modules.size; column++) {
      if (modules.get(row, column)) context.fillRect(column + QUIET, row + QUIET, 1, 1);
    }
  }
}

/**
 * Takes an element out of sight after so long unless it is called again: a page that hangs shows
 * nothing rather than an old time. The browser's compositor does it, without this page's script.
 */
export function showOnlyFor(element: Element, forMs: number): void {
  for (const old of element.getAnimations()) old.cancel();
  const duration = Math.max(1, forMs);
  element.animate([{ opacity: 1 }, { opacity: 1, offset: 0.999 }, { opacity: 0 }], {
    duration,
    fill: "forwards",
  });
}
