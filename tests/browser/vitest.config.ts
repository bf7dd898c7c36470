/**
 * Browser tests drive the built hub and pages in Chromium (npm test builds first and finds it;
 * by hand: npm run build, then vitest run --config tests/browser/vitest.config.ts). Four files at a
 * time also on two cores: a file needs 5 to 20 s of processor time and waits for the rest of its minute.
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
    expect: { poll: { timeout: 30_000 } },
    pool: "forks",
    // Files share their workers' modules, as all others do (tests/vitest.config.ts).
    isolate: false,
    maxWorkers: 4,
    env: { NOONFALL_CHROMIUM: findChromium() ?? "" },
  },
});
