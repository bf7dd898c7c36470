/** The agent without its process: options in, what runs out. */
import { createHash } from "node:crypto";
import { join } from "node:path";
import type { AgentOptions, JoinedRig } from "./agent-options.ts";
import { FileStore } from "./file-store.ts";
import { lockLink } from "./one-agent.ts";
import { RigAgent, type RigSourcePorts } from "./rig-agent.ts";
import type { Source } from "./source.ts";
import { sourcesOf } from "./sources-of.ts";

export interface RunningAgent {
  rigs: readonly RigAgent[];
  close(): Promise<void>;
}

/**
 * @param folder where each link's file is kept @param print takes one plain line at a time
 * @param speed in tests, how many times as often as in the field everything is looked at and said
 */
export async function runAgent(
  { rigs }: Extract<AgentOptions, { list: false }>,
  folder: string,
  print: (line: string) => void,
  speed = 1,
): Promise<RunningAgent> {
  const unlocks: (() => void)[] = [];
  const running: RigAgent[] = [];
  const close = async (): Promise<void> => {
    await Promise.all(running.map((rig) => rig.stop()));
    for (const unlock of unlocks) unlock();
  };
  try {
    for (const rig of rigs) {
      const file = join(folder, fileOf(rig));
      unlocks.push(lockLink(`${file}.lock`, rig.rigId));
      const tell = (line: string): void => print(`${rig.rigId}: ${line}`);
      const store = new FileStore(file, tell);
      const sources = (ports: RigSourcePorts): Source[] => sourcesOf(rig, store, ports, speed);
      running.push(new RigAgent(rig, { store, tell, speed, sources }));
    }
    await Promise.all(running.map((rig) => rig.start()));
  } catch (error) {
    await close();
    throw error;
  }
  return { rigs: running, close };
}

/** By the link: a new code of a rig is joined anew, and nothing of the key can be read from the name. */
function fileOf({ rigId, token }: JoinedRig): string {
  return `${rigId}-${createHash("sha256").update(token).digest("hex").slice(0, 12)}.json`;
}
