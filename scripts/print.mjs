/**
 * Documents made from the code, to be read and judged:
 *
 * `npm run alerts`: the catalogue of alerts, as a table in Markdown.
 * `npm run cues`: the default cue lists of every kind of rig. Without arguments for a set of telling
 * places, else for one:
 * `npm run cues -- --eclipse 2027-08-02 --lat 25.69 --lon 32.64 [--height M] [--limb off]`.
 */
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { ensureInstalled } from "./setup/install.mjs";
import { runProgram } from "./setup/run-program.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const PROGRAMS = { cues: "cues/print-lists.ts", alerts: "alerts/print-catalogue.ts" };
const LIMIT_MS = 5 * 60_000;

async function main() {
  const installed = await ensureInstalled(root, { dev: true, say: console.error });
  if (!installed.ok) return installed.message;
  const [name, ...more] = process.argv.slice(2);
  const program = PROGRAMS[/** @type {keyof typeof PROGRAMS} */ (name)];
  if (!program) return `Name one of ${Object.keys(PROGRAMS).join(", ")}.`;
  const file = join(root, "scripts", program);
  const run = await runProgram(process.execPath, ["--import", "tsx", file, ...more], {
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
