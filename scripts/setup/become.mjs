/**
 * Sets the folder up when that is needed, then becomes one of the programs that were built: the hub, the
 * relay, after-work.
 *
 * This file runs before any package is there and on any Node, so it is plain JavaScript, and it
 * loads everything else only after it has looked at Node's version.
 */
import { readFileSync } from "node:fs";

const root = new URL("../..", import.meta.url);

/** @param {string} program its file in build/hub @param {Told} told @returns {Promise<string | undefined>} what went wrong */
async function start(program, told) {
  const { engines } = JSON.parse(readFileSync(new URL("package.json", root), "utf8"));
  const { nodeComplaint } = await import("./node-version.mjs");
  const complaint = nodeComplaint(process.versions.node, engines.node);
  if (complaint) return complaint;

  const { fileURLToPath } = await import("node:url");
  const { makeReady } = await import("./ready.mjs");
  const write = console.log;
  if (told === "result only") console.log = console.error;
  const failure = await makeReady(fileURLToPath(root), { dev: false });
  console.log = write;
  if (failure) return failure;

  process.setSourceMapsEnabled(true);
  await import(new URL(`build/hub/${program}`, root).href);
  return undefined;
}

/**
 * Who ends npm means the hub, whatever npm does with the signal: it hands some on to the shell
 * between them, which ends without telling us, and dies of others leaving that shell behind.
 * When one of the two is gone, this program ends as if it had been told.
 */
function endWithNpm() {
  if (!process.env.npm_lifecycle_event) return;
  const above = processesAbove();
  const timer = setInterval(() => {
    if (processesAbove() === above) return;
    clearInterval(timer);
    process.kill(process.pid, "SIGTERM");
  }, 500);
  timer.unref();
}

/** The parent, and where that is a shell and the system tells (Linux, proc(5)) also the shell's. */
function processesAbove() {
  const { ppid } = process;
  try {
    const stat = /\((.*)\) \S (\d+)/s.exec(readFileSync(`/proc/${ppid}/stat`, "utf8"));
    // The parent of npm itself is nobody's business: a terminal may be closed.
    if (/^(ba|da|a|k|z|)sh$/.test(stat?.[1] ?? "")) return `${ppid} ${stat?.[2]}`;
  } catch {
    // No /proc: another system, or a parent that has just gone.
  }
  return `${ppid}`;
}

/**
 * @typedef {"all" | "result only"} Told whether what setting up says goes to standard output, too
 * @param {string} program its file in build/hub @param {Told} [told]
 */
export function become(program, told = "all") {
  endWithNpm();
  start(program, told).then(
    (failure) => {
      if (!failure) return;
      console.error(`\n${failure}`);
      process.exit(1);
    },
    (error) => {
      console.error(error);
      process.exit(1);
    },
  );
}
