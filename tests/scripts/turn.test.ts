import { existsSync, mkdtempSync, rmSync, utimesSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { runProgram } from "../../scripts/setup/run-program.mjs";
import { inTurn } from "../../scripts/setup/turn.mjs";

let folder: string;
let file: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-turn-"));
  file = join(folder, "build", "setup.pid");
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const quiet = { say: () => {} };

describe("inTurn", () => {
  it("lets one at a time work, and everybody in the end", async () => {
    let busy = 0;
    let most = 0;
    const work = async (): Promise<number> => {
      busy++;
      most = Math.max(most, busy);
      await new Promise((resolve) => setTimeout(resolve, 20));
      return --busy;
    };
    await Promise.all([1, 2, 3, 4].map(() => inTurn(file, work, quiet)));
    expect(most).toBe(1);
    expect(existsSync(file)).toBe(false);
  });

  it("hands the turn on when the work fails", async () => {
    await expect(inTurn(file, () => Promise.reject(new Error("no")), quiet)).rejects.toThrow("no");
    expect(await inTurn(file, () => Promise.resolve("next"), quiet)).toBe("next");
  });

  it("takes the turn from a process that is gone", async () => {
    await inTurn(file, () => Promise.resolve(), quiet);
    const { output } = await runProgram(process.execPath, ["-p", "process.pid"], { quiet: true });
    writeFileSync(file, output.trim());
    expect(await inTurn(file, () => Promise.resolve("mine"), { ...quiet, waitMs: 5000 })).toBe("mine");
  });

  it("takes the turn from a file that nobody has touched for long, even if its number lives", async () => {
    await inTurn(file, () => Promise.resolve(), quiet);
    writeFileSync(file, String(process.ppid));
    utimesSync(file, new Date(Date.now() - 60_000), new Date(Date.now() - 60_000));
    expect(await inTurn(file, () => Promise.resolve("mine"), { ...quiet, waitMs: 5000 })).toBe("mine");
  });

  it("gives up in words when the holder goes on and on", async () => {
    await inTurn(file, () => Promise.resolve(), quiet);
    writeFileSync(file, String(process.ppid));
    await expect(inTurn(file, () => Promise.resolve(), { ...quiet, waitMs: 500 })).rejects.toThrow(
      "still setting up",
    );
  });
});
