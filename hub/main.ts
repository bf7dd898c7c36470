/** The hub's process: options in, addresses and PIN out, and a clean end. Wiring only. */
import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { setFlagsFromString } from "node:v8";
import { announce } from "./announce.ts";
import { LogError } from "./log/event-log.ts";
import { takeBackRestore } from "./log/site-folder.ts";
import { CertificateError } from "./network/certificate-store.ts";
import { PortError } from "./network/one-port.ts";
import { type HubOptions, readOptions, USAGE, UsageError } from "./options.ts";
import { type RunningHub, restoreByName, runHub, siteNameOf } from "./run-hub.ts";

// V8 lets the heap grow to a multiple of what lives in it before it collects. After the rush of 560
// screens joining that keeps 202 MB resident of which 37 are in use, at 12 % of a core; with 120 %
// more than what lives, 175 MB at 14 %; with 50 %, 162 MB at 17 %.
// (The size of the young space cannot be set any more once a process runs.)
setFlagsFromString("--heap-growing-percent=120");

const root = findRoot(dirname(fileURLToPath(import.meta.url)));
const { version } = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as { version: string };

// What was typed may hold a password or a PIN: nobody else on this machine reads it in the list of processes.
process.title = "noonfall hub";

let running: RunningHub | undefined;
let demo: { close(): Promise<void> } | undefined;
let ending = false;

async function start(options: HubOptions, restored = false): Promise<void> {
  running = await runHub(options, {
    pagesDir: join(root, "build", "console"),
    version,
    onError: (error) => console.error(error),
    onRestore: () => void again(options),
  });
  if (options.demo) {
    const { startDemo } = await import("./demo/demo.ts");
    demo = await startDemo(running);
  }
  console.log(announce(running, options, { colour: process.stdout.isTTY === true, restored }));
}

/** Puts a restored site in place; where the hub cannot go on with it, the one before. */
async function again(options: HubOptions): Promise<void> {
  console.log("A site was restored from a file; starting anew with it.");
  // The file brings its own PIN: the leads of that site know it. Phones look for the same port.
  const anew = { ...options, leadPin: undefined, newSite: false, port: running?.port ?? options.port };
  try {
    await stop();
    try {
      await start(anew, true);
    } catch (error) {
      await stop();
      const refused = takeBackRestore(options.dataDir, siteNameOf(options));
      if (!refused) throw error;
      console.error(error instanceof LogError ? error.message : error);
      console.error(
        `The restored site cannot be used; it is kept as ${refused}. Going on with the one before.`,
      );
      await start(anew);
    }
  } catch (error) {
    fail(error);
  }
}

async function stop(): Promise<void> {
  await demo?.close();
  demo = undefined;
  await running?.close();
  running = undefined;
}

function fail(error: unknown): void {
  const told = [UsageError, LogError, PortError, CertificateError];
  if (error instanceof Error && told.some((kind) => error instanceof kind)) {
    console.error(`\n${error.message}`);
    process.exit(2);
  }
  console.error(error);
  process.exit(1);
}

async function end(signal: string): Promise<void> {
  if (ending) process.exit(130);
  ending = true;
  console.log(`\n${signal === "SIGINT" ? "Ctrl-C" : signal}: closing the hub …`);
  // Whatever hangs, the end comes.
  setTimeout(() => process.exit(1), 5000).unref();
  const unwritten = running?.unwritten() ?? false;
  await stop();
  console.log(
    unwritten
      ? "Closed. The log could not be written at the end: what it lacks waits on the phones."
      : "Closed. Everything reported is in the log.",
  );
  process.exit(0);
}

function findRoot(from: string): string {
  let folder = from;
  while (!existsSync(join(folder, "package.json"))) {
    const up = dirname(folder);
    if (up === folder) return from;
    folder = up;
  }
  return folder;
}

process.on("SIGINT", () => void end("SIGINT"));
process.on("SIGTERM", () => void end("SIGTERM"));
process.on("SIGHUP", () => void end("SIGHUP"));
// A bug in one corner must not end the run of every rig.
process.on("unhandledRejection", (error) => console.error(error));
process.on("uncaughtException", (error) => {
  if (running && !ending) console.error(error);
  else fail(error);
});

try {
  const options = readOptions(process.argv.slice(2));
  if (options === "help") {
    console.log(USAGE);
    process.exit(0);
  }
  await restoreByName(options);
  await start(options, options.restore !== undefined && options.leadPin === undefined);
} catch (error) {
  fail(error);
}
