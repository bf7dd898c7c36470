/**
 * `npm run campaign`: attacks hubs of its own, on loopback, in temporary folders, and prints one
 * JSON line per figure; a figure that should not be so has "finding": true, and the exit code is
 * then 1. Not a part of `npm test`, which has a small version of each finding.
 *
 *   --only NAME     one part (scripts/campaign/parts)
 *   --seed TEXT     other instants, other bytes (default: the day)
 *   --kills N       how often a hub is killed (default 60)
 *   --seconds N     how long each part may last (default 600)
 */
import { readdirSync } from "node:fs";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { makeReady } from "./setup/ready.mjs";
import { runProgram } from "./setup/run-program.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
/** What a part may need beyond its time to end. */
const GRACE_MS = 5 * 60_000;

async function main() {
  const { values } = parseArgs({
    options: {
      only: { type: "string" },
      seed: { type: "string" },
      kills: { type: "string" },
      seconds: { type: "string" },
    },
  });
  const all = readdirSync(join(root, "scripts", "campaign", "parts"))
    .filter((name) => name.endsWith(".ts"))
    .map((name) => basename(name, ".ts"))
    .sort();
  if (values.only !== undefined && !all.includes(values.only))
    return `There is no part ${values.only}; there are: ${all.join(", ")}.`;
  const kills = Number(values.kills ?? 60);
  const seconds = Number(values.seconds ?? 600);
  if (!(Number.isInteger(kills) && kills > 0)) return "--kills must be a whole number above 0.";
  if (!(seconds > 0 && seconds <= 86_400)) return "--seconds must be a number above 0.";
  const options = { seed: values.seed ?? new Date().toISOString().slice(0, 10), kills, seconds };

  const write = console.log;
  console.log = console.error;
  const failure = await makeReady(root, { dev: true });
  console.log = write;
  if (failure) return failure;
  console.error(`Seed: ${options.seed}`);

  /** @type {string[]} */
  const failures = [];
  for (const name of values.only === undefined ? all : [values.only]) {
    const runner = join(root, "scripts", "setup", "campaign-one.mjs");
    const args = ["--import", "tsx", runner, name, JSON.stringify(options)];
    const result = await runProgram(process.execPath, args, {
      cwd: root,
      timeoutMs: seconds * 2000 + GRACE_MS,
    });
    if (result.timedOut) failures.push(`${name}: stopped, it took too long`);
    else if (result.code === 3) failures.push(`${name}: findings`);
    else if (result.code !== 0) failures.push(`${name}: exit ${result.code}`);
  }
  return failures.length > 0 ? `Failed: ${failures.join("; ")}` : undefined;
}

main().then(
  (failure) => {
    if (failure) console.error(failure);
    process.exitCode = failure ? 1 : 0;
  },
  (error) => {
    console.error(error.message);
    process.exitCode = 1;
  },
);
