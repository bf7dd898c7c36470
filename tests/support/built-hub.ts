/**
 * The hub as it is now, built for the tests that start it as a process (a second; through a loader
 * for TypeScript each start would take two of processor time). Vitest runs this once before the
 * hub's tests (tests/vitest.config.ts).
 */
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { runProgram } from "../../scripts/setup/run-program.mjs";

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
/** Where the programs are that a test starts; in the hub's project its own (tests/vitest.config.ts). */
export const PROGRAMS = join(ROOT, "build", process.env.NOONFALL_TEST_PROGRAMS ?? "hub");
const FOLDER = join(ROOT, "build", "hub-under-test");

/** What a hub's process is started with. */
export const BUILT_HUB = [join(FOLDER, "main.js")];

export async function setup(): Promise<void> {
  const vite = join(ROOT, "node_modules", "vite", "bin", "vite.js");
  const args = ["build", "--logLevel", "warn", "--config", "hub/vite.config.ts", "--outDir", FOLDER];
  const { code, output } = await runProgram(process.execPath, [vite, ...args], {
    cwd: ROOT,
    env: { ...process.env, NODE_ENV: "production" },
    timeoutMs: 120_000,
    quiet: true,
  });
  if (code !== 0) throw new Error(`the hub could not be built:\n${output}`);
}
