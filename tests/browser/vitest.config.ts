/**
 * Browser tests drive the built hub and pages in Chromium (npm test builds first and finds it;
 * by hand: npm run build, then vitest run --config tests/browser/vitest.config.ts). Two files
 * at a time, most of which wait for a practice to run: two cores carry about six pages.
 */
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";
import { findChromium } from "../../scripts/setup/chromium.mjs";
import { wordsPlugin } from "../../scripts/setup/vite/words.ts";

const SOUND = "tests/browser/rig-sound.test.ts";
/** npm test runs the sound tests by themselves, after the others; by hand all run. */
const which = process.env.NOONFALL_BROWSER_TESTS;

export default defineConfig({
  root: fileURLToPath(new URL("../..", import.meta.url)),
  plugins: [wordsPlugin()],
  test: {
    include: which === "sound" ? [SOUND] : ["tests/browser/**/*.test.ts"],
    exclude: which === "rest" ? [SOUND] : [],
    testTimeout: 180_000,
    hookTimeout: 120_000,
    teardownTimeout: 20_000,
    pool: "forks",
    maxWorkers: 2,
    env: { NOONFALL_CHROMIUM: findChromium() ?? "" },
  },
});
