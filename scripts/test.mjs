/**
 * `npm test`: sets itself up, then runs every check there is. Each step is bounded in time. The
 * last line is always "N passed, N failed" (setup/tally.mjs). Ends with 1 when anything failed or
 * nothing ran.
 */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { ensureBuilt } from "./setup/build.mjs";
import { checkBundles } from "./setup/bundle-check.mjs";
import { aptInstall, canInstall, ensureChromium, findChromium } from "./setup/chromium.mjs";
import { ensureCounterparts } from "./setup/debian.mjs";
import { ensureInstalled } from "./setup/install.mjs";
import { nodeComplaint } from "./setup/node-version.mjs";
import { checkPure, startTally } from "./setup/tally.mjs";
import { inTurn } from "./setup/turn.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const turn = join(root, "build", "setup.pid");
const tally = startTally(root, join(root, "build", "test"));
const { count, heading, vitest } = tally;

async function main() {
  const { engines } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  const complaint = nodeComplaint(process.versions.node, engines.node);
  if (complaint) return count(false, complaint);

  /** @type {Promise<void> | undefined} */
  let early;
  // What can be checked before SQLite has been compiled.
  const meanwhile = () => (early ??= checkPure(tally, ["pure", "sim"]));
  heading("set-up");
  // Beside npm: one waits for the network while the other works.
  const counterparts = ensureCounterparts(findChromium() ? [] : ["chromium"]);
  const installed = await inTurn(turn, async () => {
    const first = await ensureInstalled(root, { dev: true, meanwhile });
    if (first.ok || !canInstall()) return first;
    // The SQLite binary may have to be built, and a bare machine has no compiler.
    await counterparts;
    if (!(await aptInstall(["g++", "make", "python3"]))) return first;
    return ensureInstalled(root, { dev: true });
  });
  if (!installed.ok) return count(false, installed.message);
  await meanwhile();

  const building = inTurn(turn, () => ensureBuilt(root)).catch((error) => {
    console.error(error);
    return { ok: false };
  });
  const there = await counterparts;
  if (!there.ok) count(false, there.message);
  // Beside the build: most of their time they wait, and they build a hub of their own.
  await vitest("hub tests", "tests/vitest.config.ts", 25, ["--project=hub"]);
  heading("build");
  const built = await building;
  count(built.ok, "build");
  if (built.ok) {
    heading("bundles");
    for (const check of checkBundles(root)) {
      console.log(`  ${check.ok ? "ok" : "FAILED"}: ${check.text}`);
      count(check.ok, check.text);
    }
  }
  if (!built.ok) return count(false, "browser tests: nothing is built to test");
  const chromium = await ensureChromium();
  if (!chromium.ok) return count(false, chromium.message);
  const env = { NOONFALL_CHROMIUM: chromium.path };
  await vitest("browser tests", "tests/browser/vitest.config.ts", 30, [], {
    ...env,
    NOONFALL_BROWSER_TESTS: "rest",
  });
  // Alone: it listens to the audio thread, which another Chromium beside it would starve.
  await vitest("sound tests", "tests/browser/vitest.config.ts", 10, [], {
    ...env,
    NOONFALL_BROWSER_TESTS: "sound",
  });
}

main()
  .catch((error) => {
    console.error(error);
    count(false, String(error));
  })
  .then(() => tally.end());
