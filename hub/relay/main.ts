/** The relay's process: options in, its address out, and a clean end. Wiring only. */
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { AddressError } from "../feeds/broker-address.ts";
import { type Relay, startRelay } from "./relay.ts";
import { RELAY_USAGE, readRelayOptions } from "./relay-options.ts";

const TROUBLE_LOOK_MS = 5000;

// What was typed may hold a password or a PIN: nobody else on this machine reads it in the list of processes.
process.title = "noonfall relay";

let relay: Relay | undefined;
let ending = false;

async function run(): Promise<void> {
  const options = readRelayOptions(process.argv.slice(2));
  if (options === "help") {
    console.log(RELAY_USAGE);
    return;
  }
  const pagesDir = join(dirname(fileURLToPath(import.meta.url)), "..", "console");
  relay = await startRelay(options, pagesDir);
  const host = options.host.includes(":") ? `[${options.host}]` : options.host;
  console.log(`Relay is up: http://${host}:${relay.port}/board, from ${options.from.shown}.`);
  tellTroubles(relay, options.from.shown);
}

/** One line when something upstream is wrong, and one when it is well again. */
function tellTroubles(running: Relay, from: string): void {
  let told: string | null = null;
  setInterval(() => {
    const { trouble } = running.health();
    if (trouble === told) return;
    told = trouble;
    const says = trouble === null ? "answers" : trouble;
    console.log(`${new Date().toISOString()} ${from} ${says}.`);
  }, TROUBLE_LOOK_MS).unref();
}

async function end(): Promise<void> {
  if (ending) process.exit(130);
  ending = true;
  setTimeout(() => process.exit(1), 3000).unref();
  await relay?.close();
  process.exit(0);
}

function fail(error: unknown): void {
  const { code } = (error ?? {}) as NodeJS.ErrnoException;
  if (error instanceof AddressError) console.error(`\n${error.message}`);
  else if (code === "EADDRINUSE") console.error("\n--listen: something listens there already.");
  else if (code === "EADDRNOTAVAIL") console.error("\n--listen: this machine has no such address.");
  else if (code === "EACCES") console.error("\n--listen: this port needs more rights; take one above 1023.");
  else console.error(error);
  process.exit(2);
}

process.on("SIGINT", () => void end());
process.on("SIGTERM", () => void end());
process.on("SIGHUP", () => void end());
// A bug at one request must not take the board from everybody.
process.on("unhandledRejection", (error) => console.error(error));
process.on("uncaughtException", (error) => {
  if (relay) console.error(error);
  else fail(error);
});
run().catch(fail);
