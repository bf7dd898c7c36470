/**
 * All tests but those in a browser, in three projects. "pure" and "sim" need neither SQLite nor a
 * hub, so that npm test can run them while SQLite is still being compiled; "pure" is
 * what npm run check runs; "sim" are the simulated worlds, which take longer. "hub" is the rest. Files
 * share their workers' modules: loading them anew for each took longer than the tests themselves. So a
 * test leaves nothing behind: timers, environment and spies are put back.
 */
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";
import { BaseSequencer, type TestSpecification } from "vitest/node";
import { wordsPlugin } from "../scripts/setup/vite/words.ts";

/** start.test.ts installs packages and starts hubs. */
const PURE = [
  "tests/rooms.test.ts",
  "tests/shared/**/*.test.ts",
  "tests/console/**/*.test.{ts,tsx}",
  "tests/scripts/!(start).test.ts",
];
const SIM = ["tests/sim/**/*.test.ts"];

/** Waits for a minute of practice; begun last, it would keep everything waiting. */
const LONGEST = "tests/hub/demo/demo.test.ts";

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const rank = ({ moduleId }: TestSpecification): number => (moduleId.endsWith(LONGEST) ? 0 : 1);
    return (await super.sort(files)).sort((a, b) => rank(a) - rank(b));
  }
}

export default defineConfig({
  root: fileURLToPath(new URL("..", import.meta.url)),
  plugins: [wordsPlugin()],
  test: {
    testTimeout: 60_000,
    hookTimeout: 120_000,
    teardownTimeout: 20_000,
    expect: { poll: { timeout: 30_000 } },
    pool: "forks",
    maxWorkers: 2,
    sequence: { sequencer: LongestFirst },
    projects: [
      { extends: true, test: { name: "pure", include: PURE, isolate: false } },
      { extends: true, test: { name: "sim", include: SIM, isolate: false } },
      {
        extends: true,
        test: {
          name: "hub",
          include: ["tests/**/*.test.{ts,tsx}"],
          exclude: ["tests/browser/**", ...PURE, ...SIM],
          isolate: false,
          // Most of their time they wait: for a practice to run, a limit to pass, a process to start. It
          // stands here because a command line's --maxWorkers does not reach projects; what has another
          // number than the others must be a group of its own.
          maxWorkers: 8,
          sequence: { groupOrder: 1 },
          globalSetup: "tests/support/built-hub.ts",
          // npm test builds the pages meanwhile, and what phones get besides.
          env: { NOONFALL_TEST_PROGRAMS: "hub-under-test" },
        },
      },
    ],
  },
});
