/** A hub with a planned site in the test's own process, and agents that join it. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { readAgentOptions } from "../../../hub/agent/agent-options.ts";
import { type RunningAgent, runAgent } from "../../../hub/agent/run-agent.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";

/** How many times as often as in the field an agent looks and says. */
const SPEED = 10;

export interface AgentWorld {
  hub: TestHub;
  token: string;
  /** What agents printed. */
  lines: string[];
  /** A folder of this test's own, removed at its end. */
  folder(name: string): string;
  rigUrl(rigId: string): Promise<string>;
  /** An agent with these options besides its link; the same `memory` is the same computer. */
  agent(rigId: string, args: readonly string[], memory?: string): Promise<RunningAgent>;
  /** A rig in GET /api/run. */
  rig(rigId: string): Promise<any>;
  untilRig(what: string, rigId: string, holds: (rig: any) => boolean): Promise<any>;
  stop(): Promise<void>;
}

export async function agentWorld(plan: unknown = LUXOR_PLAN): Promise<AgentWorld> {
  const hub = await startTestHub();
  const token = await hub.signIn();
  const saved = await hub.call("PUT", "/api/plan", plan, token, { "If-Match": '"plan-0"' });
  if (saved.status !== 200) throw new Error(JSON.stringify(saved.body));
  const folders: string[] = [];
  const running = new Set<RunningAgent>();
  const lines: string[] = [];
  const world: AgentWorld = {
    hub,
    token,
    lines,
    folder(name) {
      const folder = mkdtempSync(join(tmpdir(), `noonfall-${name}-`));
      folders.push(folder);
      return folder;
    },
    async rigUrl(rigId) {
      const { url } = (await hub.call("GET", `/api/rigs/${rigId}/link`, undefined, token)).body;
      return `${hub.url}${new URL(url).pathname}${new URL(url).hash}`;
    },
    async agent(rigId, args, memory = world.folder("memory")) {
      const options = readAgentOptions(["--join", await world.rigUrl(rigId), ...args]);
      if (options === "help" || options.list) throw new Error("these options join nothing");
      const agent = await runAgent(options, memory, (line) => lines.push(line), SPEED);
      running.add(agent);
      return {
        ...agent,
        async close() {
          running.delete(agent);
          await agent.close();
        },
      };
    },
    async rig(rigId) {
      const { rigs } = (await hub.call("GET", "/api/run", undefined, token)).body;
      return rigs.find(({ id }: { id: string }) => id === rigId);
    },
    untilRig: (what, rigId, holds) =>
      until(
        what,
        async () => {
          const rig = await world.rig(rigId);
          return holds(rig) ? rig : null;
        },
        { everyMs: 100, told: () => lines.join("\n") },
      ),
    async stop() {
      for (const agent of running) await agent.close();
      await hub.stop();
      for (const folder of folders) rmSync(folder, { recursive: true, force: true });
    },
  };
  return world;
}
