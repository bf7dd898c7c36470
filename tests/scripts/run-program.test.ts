import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { runProgram } from "../../scripts/setup/run-program.mjs";

const node = (code: string, options = {}) =>
  runProgram(process.execPath, ["-e", code], { quiet: true, ...options });

describe("runProgram", () => {
  it("gives the exit code and the output", async () => {
    expect(await node("console.log('out'); console.error('err'); process.exitCode = 3")).toEqual({
      code: 3,
      output: expect.stringContaining("out"),
      timedOut: false,
    });
  });

  it("stops what takes too long, and what that one started", async () => {
    const folder = mkdtempSync(join(tmpdir(), "noonfall-run-"));
    const file = join(folder, "beats");
    const beat = `setInterval(() => require("node:fs").appendFileSync(${JSON.stringify(file)}, "."), 20)`;
    const result = await node(
      `require("node:child_process").spawn(process.execPath, ["-e", ${JSON.stringify(beat)}], { stdio: "inherit" });
       setInterval(() => {}, 1000);`,
      { timeoutMs: 3000 },
    );
    expect(result.timedOut).toBe(true);
    expect(result.code).not.toBe(0);
    const beats = readFileSync(file).length;
    expect(beats).toBeGreaterThan(0);
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect(readFileSync(file).length).toBe(beats);
    rmSync(folder, { recursive: true });
  });

  it("does not wait for what a program leaves behind", async () => {
    // The leftover would stay for longer than this test may take.
    const result = await node(
      `require("node:child_process").spawn(process.execPath, ["-e", "setTimeout(() => {}, 600000)"],
         { stdio: "inherit" }).unref();
       process.exit(0);`,
    );
    expect(result.code).toBe(0);
  });

  it("tells that a program cannot be started", async () => {
    expect((await runProgram("no-such-program-anywhere", [], { quiet: true })).code).toBe(127);
  });
});
