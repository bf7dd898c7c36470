/**
 * `npm run bench:clock`: follows a hub over the network rig's five profiles side by side, three ways
 * in the same run (our follower, `timesync`, chronyd), 5 minutes of sync and 5 of hold-over, and
 * prints the table. Needs Linux, root, gcc, iproute2 and chrony; says what is missing and ends
 * with 2. Ends with 1 when a number is not reached.
 *
 * Options after `--`: --quick (60 s and 30 s, for a look; always ends with 0), --sync S, --hold S,
 * --devices N per profile, --profiles a,b, --seed N, --json (a JSON line per row as well),
 * --record FILE (everything the devices wrote), --pages S (seconds on rig pages in Chromium after
 * it, 60 by default, 0 for none), --pages-only.
 */
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { makeReady } from "./setup/ready.mjs";
import { runProgram } from "./setup/run-program.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const LIMIT_MS = 13 * 60_000;

const wrong = await makeReady(root, { dev: true });
if (wrong) {
  console.error(wrong);
  process.exit(2);
}
const main = join(root, "scripts", "bench", "clock-main.ts");
const { code, timedOut } = await runProgram(
  process.execPath,
  ["--import", "tsx", main, ...process.argv.slice(2)],
  {
    cwd: root,
    timeoutMs: LIMIT_MS,
  },
);
if (timedOut) console.error("bench:clock was stopped: it took longer than 13 minutes.");
process.exit(code);
