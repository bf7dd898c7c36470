/** The agent's process: options in, one plain line a change, and a clean end. Wiring only. */
import { resolve } from "node:path";
import { UsageError } from "../options.ts";
import { AGENT_USAGE, readAgentOptions } from "./agent-options.ts";
import { listWhatIsHere } from "./list.ts";
import { type RunningAgent, runAgent } from "./run-agent.ts";

// What was typed holds a rig's link: nobody else on this machine reads it in the list of processes.
process.title = "noonfall agent";

let running: RunningAgent | undefined;
let ending = false;

function print(line: string): void {
  console.log(`${new Date().toISOString().slice(11, 19)} ${line}`);
}

async function end(signal: string): Promise<void> {
  if (ending) process.exit(130);
  ending = true;
  print(`${signal === "SIGINT" ? "Ctrl-C" : signal}: closing.`);
  // Whatever hangs, the end comes.
  setTimeout(() => process.exit(1), 5000).unref();
  await running?.close();
  process.exit(0);
}

for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => void end(signal));
// A bug in reading one instrument must not end the others.
process.on("unhandledRejection", (error) => console.error(error));
process.on("uncaughtException", (error) => console.error(error));

try {
  const options = readAgentOptions(process.argv.slice(2));
  if (options === "help") console.log(AGENT_USAGE);
  else if (options.list) {
    await listWhatIsHere(options.look, (line) => console.log(line));
    process.exit(0);
  } else {
    running = await runAgent(options, resolve("data", "agent"), print);
    print("Reading. Ctrl-C ends it.");
  }
} catch (error) {
  if (!(error instanceof UsageError)) throw error;
  console.error(error.message);
  process.exit(2);
}
