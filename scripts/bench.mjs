/**
 * `npm run bench`: runs scripts/bench/*.ts, each in a process of its own, and prints one JSON line
 * per figure: {"bench","figure","value","unit"}. `npm run bench -- NAME` runs one. A bench file
 * exports run(): Promise<Array<{figure, value, unit}>>. The crowd's takes long and runs when it is
 * named; the clock's benches (clock-*) have a command of their own. Everything but the figures goes to stderr.
 */
import { readdirSync } from "node:fs";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { makeReady } from "./setup/ready.mjs";
import { runProgram } from "./setup/run-program.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const folder = join(root, "scripts", "bench");
const LIMIT_MS = 30 * 60_000;

async function main() {
  const all = readdirSync(folder)
    .filter((name) => name.endsWith(".ts") && !name.endsWith(".d.ts"))
    .map((name) => basename(name, ".ts"))
    .sort();
  const asked = process.argv.slice(2);
  const names = asked.length > 0 ? asked : all.filter((name) => !/^(clock-|crowd$)/.test(name));
  const unknown = names.filter((name) => !all.includes(name));
  if (unknown.length > 0) return `There is no bench ${unknown.join(", ")}; there are: ${all.join(", ")}.`;

  const write = console.log;
  console.log = console.error;
  const failure = await makeReady(root, { dev: true });
  console.log = write;
  if (failure) return failure;

  /** @type {string[]} */
  const failures = [];
  for (const name of names) {
    const runner = join(root, "scripts", "setup", "bench-one.mjs");
    const result = await runProgram(process.execPath, ["--expose-gc", "--import", "tsx", runner, name], {
      cwd: root,
      timeoutMs: LIMIT_MS,
    });
    if (result.timedOut) failures.push(`${name}: stopped after ${LIMIT_MS / 60_000} minutes`);
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
    console.error(error);
    process.exitCode = 1;
  },
);
