/** The agent as a process of its own: it ends cleanly, says what is wrong, and lives on after a kill. */
import { type ChildProcess, spawn } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { type AgentWorld, agentWorld } from "./agent-world.ts";

const AGENT = fileURLToPath(new URL("../../../build/hub-under-test/agent.js", import.meta.url));

let world: AgentWorld;
const children = new Set<ChildProcess>();
beforeAll(async () => {
  world = await agentWorld();
});
afterAll(async () => {
  for (const child of children) child.kill("SIGKILL");
  await world.stop();
});

function start(cwd: string, args: readonly string[]) {
  const child = spawn(process.execPath, [AGENT, ...args], { cwd, stdio: ["ignore", "pipe", "pipe"] });
  children.add(child);
  const said = { out: "", code: undefined as number | null | undefined };
  for (const stream of [child.stdout, child.stderr])
    stream.on("data", (chunk: Buffer) => {
      said.out += chunk.toString();
    });
  child.once("exit", (code) => {
    said.code = code;
    children.delete(child);
  });
  const ended = () => until("the agent ends", () => said.code !== undefined, { told: () => said.out });
  return { child, said, ended };
}

test("it joins, says so in plain lines, ends at Ctrl-C, and goes on counting after a kill", async () => {
  const [card, home] = [world.folder("card"), world.folder("home")];
  const args = ["--join", await world.rigUrl("west"), "--watch", card];
  const first = start(home, args);
  await world.untilRig("it is joined", "west", (rig) => rig.card === "in");
  writeFileSync(join(card, "A.JPG"), "frame");
  await world.untilRig("a frame", "west", ({ frames }) => frames === 1);
  // Another one for the same rig on the same machine would count on from the same file.
  const twin = start(home, args);
  await twin.ended();
  expect([twin.said.code, twin.said.out]).toEqual([
    2,
    expect.stringMatching(/^Another agent here serves rig west/),
  ]);

  first.child.kill("SIGKILL");
  await first.ended();
  writeFileSync(join(card, "B.JPG"), "frame");
  const second = start(home, args);
  await until("it is linked", () => second.said.out.includes("linked to the hub"), {
    told: () => second.said.out,
  });
  await world.untilRig("it counts on", "west", ({ frames }) => frames === 2);
  const rig = await world.rig("west");
  // The same device as before, not another one.
  expect(rig.devices).toHaveLength(1);
  second.child.kill("SIGINT");
  await second.ended();
  expect(second.said.code).toBe(0);
  const lines = second.said.out.trim().split("\n");
  expect(lines.every((line) => /^\d\d:\d\d:\d\d /.test(line))).toBe(true);
  expect(lines.at(-1)).toMatch(/Ctrl-C: closing\.$/);
  expect(second.said.out).not.toContain(new URL(args[1] ?? "").hash.slice(6));
});

test("a wrong address is one sentence and no stack; a hub that is not there is waited for", async () => {
  const wrong = start(world.folder("home"), ["--join", "nonsense"]);
  await wrong.ended();
  expect(wrong.said).toEqual({
    code: 2,
    out: "--join must be the whole link of a rig, with http:// in front.\n",
  });

  const away = start(world.folder("home"), ["--join", "http://127.0.0.1:9/rig#west.abcdefgh12345678"]);
  await until("it looks", () => away.said.out.includes("looking for the hub"));
  away.child.kill("SIGTERM");
  await away.ended();
  expect(away.said.code).toBe(0);
});

test("a link that was replaced is said in one line, and what waits is not lost silently", async () => {
  const home = world.folder("home");
  const agent = start(home, ["--join", await world.rigUrl("wide"), "--watch", world.folder("card")]);
  await world.untilRig("it is joined", "wide", (rig) => rig.card === "in");
  const order = { id: "revoke", order: { type: "revokeLink", rigId: "wide" } };
  expect((await world.hub.call("POST", "/api/orders", order, world.token)).status).toBe(200);
  await until("it says so", () => agent.said.out.includes("this link was replaced"), {
    told: () => agent.said.out,
  });
  agent.child.kill("SIGINT");
  await agent.ended();
  expect(agent.said.code).toBe(0);
});

test("--list says what is found here, and stops", async () => {
  const card = world.folder("card");
  const list = start(world.folder("home"), [
    "--list",
    "--watch",
    card,
    "--indi",
    "127.0.0.1:9",
    "--gps",
    "127.0.0.1:9",
  ]);
  await list.ended();
  expect(list.said.code).toBe(0);
  expect(list.said.out).toMatch(new RegExp(`^${card}: 0 files, [\\d.]+ GB free$`, "m"));
  expect(list.said.out).toMatch(/^INDI 127\.0\.0\.1:9: nothing answers there/m);
  expect(list.said.out).toMatch(/^receiver 127\.0\.0\.1:9: /m);
  expect(list.said.out).toMatch(/^camera/m);
});
