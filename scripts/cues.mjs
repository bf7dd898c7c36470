/**
 * `npm run cues`: prints the default cue lists of every kind of rig, to be read and judged. Without
 * arguments for a set of telling places, else for one:
 * `npm run cues -- --eclipse 2027-08-02 --lat 25.69 --lon 32.64 [--height M] [--limb off]`.
 */
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { ensureInstalled } from "./setup/install.mjs";
import { runProgram } from "./setup/run-program.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const LIMIT_MS = 5 * 60_000;

async function main() {
  const installed = await ensureInstalled(root, { dev: true, say: console.error });
  if (!installed.ok) return installed.message;
  const program = join(root, "scripts", "cues", "print-lists.ts");
  const run = await runProgram(process.execPath, ["--import", "tsx", program, ...process.argv.slice(2)], {
    cwd: root,
    timeoutMs: LIMIT_MS,
  });
  // What is wrong with an argument the program has said itself.
  process.exitCode = run.code;
  return run.timedOut ? `Stopped after ${LIMIT_MS / 60_000} minutes.` : undefined;
}

main().then(
  (failure) => {
    if (!failure) return;
    console.error(failure);
    process.exitCode = 1;
  },
  (error) => {
    console.error(error);
    process.exitCode = 1;
  },
);
