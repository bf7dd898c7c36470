/**
 * Draws console/offline/icons/noonfall.svg as PNG files in the sizes that phones ask for. Run it
 * by hand after the drawing was changed: node scripts/build-icons.mjs (needs Chromium).
 */
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { findChromium } from "./setup/chromium.mjs";

const SIZES = [180, 192, 512];
const folder = new URL("../console/offline/icons/", import.meta.url);

const path = findChromium();
if (!path) throw new Error("Chromium is needed to draw the icons");
const browser = await chromium.launch({ executablePath: path, args: ["--no-sandbox", "--disable-gpu"] });
try {
  const svg = readFileSync(new URL("noonfall.svg", folder), "utf8");
  for (const size of SIZES) {
    const page = await browser.newPage({ viewport: { width: size, height: size } });
    await page.setContent(
      `<style>body{margin:0}svg{display:block;width:${size}px;height:${size}px}</style>${svg}`,
    );
    const file = fileURLToPath(new URL(`noonfall-${size}.png`, folder));
    writeFileSync(file, await page.screenshot({ type: "png" }));
    console.log(file);
    await page.close();
  }
} finally {
  await browser.close();
}
