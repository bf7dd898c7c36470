/** The count that ends npm test and npm run check, with tools that do what the test says. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { runProgram } from "../../scripts/setup/run-program.mjs";

const TALLY = new URL("../../scripts/setup/tally.mjs", import.meta.url).href;

let root: string;
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), "noonfall-tally-"));
  tool("tool.mjs", "process.exitCode = Number(process.argv[2])");
  tool("endless.mjs", "setInterval(() => {}, 1000)");
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

function tool(name: string, code: string): void {
  const file = join(root, "node_modules", name);
  mkdirSync(join(file, ".."), { recursive: true });
  writeFileSync(file, code);
}

/** In place of vitest: writes this report and ends with this code. */
function runnerSays(report: unknown, code: number): void {
  tool(
    "vitest/vitest.mjs",
    `import { writeFileSync } from "node:fs";
     const file = process.argv.find((arg) => arg.startsWith("--outputFile.json=")).split("=")[1];
     writeFileSync(file, ${JSON.stringify(JSON.stringify(report))});
     process.exitCode = ${code};`,
  );
}

const report = (tests: readonly { fullName: string; status: string }[], suite = "passed", message = "") => ({
  numPassedTests: tests.filter(({ status }) => status === "passed").length,
  numFailedTests: tests.filter(({ status }) => status === "failed").length,
  numPendingTests: 0,
  numTodoTests: 0,
  testResults: [{ name: `${root}/tests/a.test.ts`, status: suite, message, assertionResults: tests }],
});

/** What is printed from "Failed:" on without the time it took, and the exit code. */
async function told(steps: string): Promise<{ code: number; lines: string[] }> {
  const code = `
    import { startTally } from ${JSON.stringify(TALLY)};
    const tally = startTally(${JSON.stringify(root)}, ${JSON.stringify(join(root, "results"))});
    ${steps}
    tally.end();`;
  const ran = await runProgram(process.execPath, ["--input-type=module", "-e", code], { quiet: true });
  const lines = ran.output.trim().split("\n");
  const from = lines.findIndex((line) => line === "Failed:" || /^In [\d.]+ s:$/.test(line));
  return { code: ran.code, lines: lines.slice(from).filter((line) => line !== "" && !/^In /.test(line)) };
}

describe("the last lines of a run", () => {
  it("count steps as one each and name what failed", async () => {
    expect(await told(`await tally.step("types", ["tool.mjs", "0"], 1);`)).toEqual({
      code: 0,
      lines: ["1 passed, 0 failed"],
    });
    expect(
      await told(`await tally.step("types", ["tool.mjs", "0"], 1);
                  await tally.step("lint", ["tool.mjs", "2"], 1);
                  await tally.step("endless", ["endless.mjs"], 0);`),
    ).toEqual({
      code: 1,
      lines: ["Failed:", "  lint", "  endless: stopped after 0 minutes", "1 passed, 2 failed"],
    });
  });

  it("count every test and name the failed ones by file", async () => {
    const tests = [
      { fullName: "a clock runs", status: "passed" },
      { fullName: "a clock stops", status: "failed" },
    ];
    runnerSays(report(tests, "failed"), 1);
    expect(await told(`await tally.vitest("unit tests", "x", 1);`)).toEqual({
      code: 1,
      lines: ["Failed:", "  /tests/a.test.ts: a clock stops", "1 passed, 1 failed"],
    });
  });

  it("take a file that does not load, no test at all and an exit without a reason for failures", async () => {
    runnerSays(report([], "failed", "no such module\nat x"), 1);
    expect((await told(`await tally.vitest("unit tests", "x", 1);`)).lines).toEqual([
      "Failed:",
      "  /tests/a.test.ts: no such module",
      "  unit tests: no test ran",
      "0 passed, 2 failed",
    ]);
    runnerSays(report([{ fullName: "a", status: "passed" }]), 1);
    expect((await told(`await tally.vitest("unit tests", "x", 1);`)).lines).toEqual([
      "Failed:",
      "  unit tests: exit 1",
      "1 passed, 1 failed",
    ]);
    tool("vitest/vitest.mjs", "process.exitCode = 3");
    expect((await told(`await tally.vitest("other tests", "x", 1);`)).lines).toEqual([
      "Failed:",
      "  other tests: ended without a report (exit 3)",
      "0 passed, 1 failed",
    ]);
    expect(await told("")).toEqual({ code: 1, lines: ["Failed:", "  nothing ran", "0 passed, 1 failed"] });
  });
});
