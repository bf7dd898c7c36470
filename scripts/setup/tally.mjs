/**
 * Runs checks one after the other and keeps count: a step that is not made of tests (types, lint,
 * build) counts as one check, a run of vitest as its tests. Each is bounded in time. The last line
 * printed is always "N passed, N failed", with what failed above it.
 */
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { runProgram } from "./run-program.mjs";

const MINUTE_MS = 60_000;

/** @param {string} root the project's folder @param {string} results where vitest's reports go; emptied */
export function startTally(root, results) {
  let passed = 0;
  let failed = 0;
  /** @type {string[]} */
  const failures = [];
  const beganMs = performance.now();
  let partMs = beganMs;
  /** @type {string | undefined} */
  let part;
  rmSync(results, { recursive: true, force: true });
  mkdirSync(results, { recursive: true });

  /** @param {boolean} ok @param {string} what */
  const count = (ok, what) => {
    if (ok) passed++;
    else {
      failed++;
      failures.push(what);
    }
  };

  /** Says how long the part before took. @param {string} [title] */
  const heading = (title) => {
    const nowMs = performance.now();
    if (part) console.log(`   ${part}: ${((nowMs - partMs) / 1000).toFixed(1)} s`);
    part = title;
    partMs = nowMs;
    if (title) console.log(`\n── ${title}`);
  };

  /** A package's own program, run with our Node. @param {string[]} parts @param {number} minutes @param {NodeJS.ProcessEnv} [env] */
  const runTool = (parts, minutes, env) => {
    const [script = "", ...args] = parts;
    return runProgram(process.execPath, [join(root, "node_modules", script), ...args], {
      cwd: root,
      timeoutMs: minutes * MINUTE_MS,
      env: { ...process.env, NODE_ENV: undefined, ...env },
    });
  };

  return {
    count,
    heading,

    /** @param {string} title @param {string[]} parts @param {number} minutes */
    async step(title, parts, minutes) {
      heading(title);
      const result = await runTool(parts, minutes);
      count(result.code === 0, result.timedOut ? `${title}: stopped after ${minutes} minutes` : title);
    },

    /** @param {string} title @param {string} config @param {number} minutes @param {string[]} [which] @param {NodeJS.ProcessEnv} [env] */
    async vitest(title, config, minutes, which = [], env = undefined) {
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
    },

    /** Prints the sum and sets the exit code: 1 when anything failed or nothing ran. */
    end() {
      heading();
      if (passed + failed === 0) count(false, "nothing ran");
      if (failures.length > 0) console.log(`\nFailed:\n${failures.map((line) => `  ${line}`).join("\n")}`);
      const s = ((performance.now() - beganMs) / 1000).toFixed(1);
      console.log(`\nIn ${s} s:\n${passed} passed, ${failed} failed`);
      process.exitCode = failed > 0 ? 1 : 0;
    },
  };
}

/**
 * Types, lint and the tests of these vitest projects, which need neither SQLite nor a build.
 * @param {ReturnType<typeof startTally>} tally @param {string[]} projects
 */
export async function checkPure(tally, projects) {
  await tally.step("types", ["typescript/bin/tsc", "-b"], 10);
  await tally.step("lint and import directions", ["@biomejs/biome/bin/biome", "check", "."], 5);
  const which = projects.map((name) => `--project=${name}`);
  await tally.vitest("unit tests", "tests/vitest.config.ts", 25, which);
}
