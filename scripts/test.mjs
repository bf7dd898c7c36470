/**
 * `npm test`: sets itself up, then runs every check there is. Each step is bounded in time. The
 * last line is always "N passed, N failed"; a step that is not made of tests (types, lint, build)
 * counts as one check. Ends with 1 when anything failed or nothing ran.
 */
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { ensureBuilt } from "./setup/build.mjs";
import { checkBundles } from "./setup/bundle-check.mjs";
import { aptInstall, canInstall, ensureChromium } from "./setup/chromium.mjs";
import { ensureInstalled } from "./setup/install.mjs";
import { nodeComplaint } from "./setup/node-version.mjs";
import { runProgram } from "./setup/run-program.mjs";
import { inTurn } from "./setup/turn.mjs";

const MINUTE_MS = 60_000;
const root = fileURLToPath(new URL("..", import.meta.url));
const results = join(root, "build", "test");
const turn = join(root, "build", "setup.pid");

let passed = 0;
let failed = 0;
/** @type {string[]} */
const failures = [];

/** @param {boolean} ok @param {string} what */
function count(ok, what) {
  if (ok) passed++;
  else {
    failed++;
    failures.push(what);
  }
}

/** @param {string} title */
function heading(title) {
  console.log(`\n── ${title}`);
}

/** A package's own program, run with our Node. @param {string[]} parts @param {number} minutes @param {NodeJS.ProcessEnv} [env] */
function runTool(parts, minutes, env) {
  const [script = "", ...args] = parts;
  return runProgram(process.execPath, [join(root, "node_modules", script), ...args], {
    cwd: root,
    timeoutMs: minutes * MINUTE_MS,
    env: { ...process.env, NODE_ENV: undefined, ...env },
  });
}

/** @param {string} title @param {string[]} parts @param {number} minutes */
async function step(title, parts, minutes) {
  heading(title);
  const result = await runTool(parts, minutes);
  count(result.code === 0, result.timedOut ? `${title}: stopped after ${minutes} minutes` : title);
}

/** @param {string} title @param {string} config @param {number} minutes @param {string[]} [which] @param {NodeJS.ProcessEnv} [env] */
async function vitest(title, config, minutes, which = [], env = undefined) {
  heading(title);
  const file = join(results, `${title.replaceAll(" ", "-")}.json`);
  const args = ["run", "--config", config, "--reporter=default", "--reporter=json", ...which];
  const result = await runTool(["vitest/vitest.mjs", ...args, `--outputFile.json=${file}`], minutes, env);
  if (result.timedOut) return count(false, `${title}: stopped after ${minutes} minutes`);
  /** @type {any} */
  let report;
  try {
    report = JSON.parse(readFileSync(file, "utf8"));
  } catch {
    return count(false, `${title}: ended without a report (exit ${result.code})`);
  }
  passed += report.numPassedTests;
  failed += report.numFailedTests;
  let told = report.numFailedTests;
  for (const suite of report.testResults) {
    const name = suite.name.replace(root, "");
    const bad = suite.assertionResults.filter((/** @type {any} */ test) => test.status === "failed");
    for (const test of bad) failures.push(`${name}: ${test.fullName}`);
    if (suite.status === "failed" && bad.length === 0) {
      told++;
      count(false, `${name}: ${String(suite.message).split("\n")[0]}`);
    }
  }
  const idle = report.numPendingTests + report.numTodoTests;
  if (idle > 0) console.log(`  ${idle} tests did not run; they count neither way`);
  if (report.numPassedTests + report.numFailedTests === 0) count(false, `${title}: no test ran`);
  else if (result.code !== 0 && told === 0) count(false, `${title}: exit ${result.code}`);
}

/** What can be checked before SQLite has been compiled. */
async function withoutSqlite() {
  await step("types", ["typescript/bin/tsc", "-b"], 10);
  await step("lint and import directions", ["@biomejs/biome/bin/biome", "check", "."], 5);
  await vitest("unit tests", "tests/vitest.config.ts", 25, ["--project=pure"]);
}

async function main() {
  const { engines } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  const complaint = nodeComplaint(process.versions.node, engines.node);
  if (complaint) return count(false, complaint);

  rmSync(results, { recursive: true, force: true });
  mkdirSync(results, { recursive: true });
  /** @type {Promise<void> | undefined} */
  let early;
  const meanwhile = () => (early ??= withoutSqlite());
  heading("set-up");
  const installed = await inTurn(turn, async () => {
    const first = await ensureInstalled(root, { dev: true, meanwhile });
    if (first.ok || !canInstall()) return first;
    // The SQLite binary may have to be built, and a bare machine has no compiler.
    if (!(await aptInstall(["g++", "make", "python3"]))) return first;
    return ensureInstalled(root, { dev: true });
  });
  if (!installed.ok) return count(false, installed.message);
  await meanwhile();

  heading("build");
  const built = await inTurn(turn, () => ensureBuilt(root));
  count(built.ok, "build");
  if (built.ok) {
    heading("bundles");
    for (const check of checkBundles(root)) {
      console.log(`  ${check.ok ? "ok" : "FAILED"}: ${check.text}`);
      count(check.ok, check.text);
    }
  }
  await vitest("hub tests", "tests/vitest.config.ts", 25, ["--project=hub"]);
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
  .then(() => {
    if (passed + failed === 0) count(false, "nothing ran");
    if (failures.length > 0) console.log(`\nFailed:\n${failures.map((line) => `  ${line}`).join("\n")}`);
    console.log(`\n${passed} passed, ${failed} failed`);
    process.exitCode = failed > 0 ? 1 : 0;
  });
