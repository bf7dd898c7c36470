/** A card that fills, is taken out, and comes back: a small tmpfs of the test's own (root on Linux). */
import { readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type SmallDisk, smallDisk } from "../../support/small-disk.ts";
import { until } from "../../support/until.ts";
import { type AgentWorld, agentWorld } from "./agent-world.ts";

let world: AgentWorld;
let card: SmallDisk | undefined;
beforeAll(async () => {
  world = await agentWorld();
});
afterAll(async () => {
  await world.stop();
  card?.end();
});

const write = (name: string, megabytes: number) =>
  writeFileSync(join(card?.folder ?? "", name), Buffer.alloc(megabytes * 1e6));

test("free space goes with what is written; out is gone, not deleted; another one in counts on", async () => {
  card = smallDisk(64);
  write("OLD.JPG", 4);
  const memory = world.folder("memory");
  let agent = await world.agent("west", ["--watch", card.folder], memory);
  const first = await world.untilRig(
    "it is known",
    "west",
    (rig) => rig.card === "in" && rig.cardFreeGB !== null,
  );
  // 64 MiB less 4 MB, to a hundredth of a GB.
  expect(first.cardFreeGB).toBeCloseTo(0.06, 2);
  for (let n = 0; n < 5; n++) write(`A${n}.JPG`, 8);
  const full = await world.untilRig("five frames", "west", ({ frames }) => frames === 5);
  expect(full.cardFreeGB).toBeLessThan(0.03);
  // Full to the last byte: of the frame that does not fit a part stands there, and nothing breaks. It is
  // counted a look after the space is seen to be gone.
  expect(() => write("B.JPG", 60)).toThrow(/ENOSPC/);
  await world.untilRig("it is full", "west", (rig) => rig.cardFreeGB === 0 && rig.frames === 6);

  card.takeOut();
  const gone = await world.untilRig("it is gone", "west", (rig) => rig.card === "gone");
  expect(readdirSync(card.folder)).toEqual([]);
  expect(gone.frames).toBe(6);
  // Killed and started again while it is out.
  await agent.close();
  world.lines.length = 0;
  agent = await world.agent("west", ["--watch", card.folder], memory);
  await until("it says so again", () => world.lines.some((line) => line.endsWith("card gone")));
  await until("it has caught up", () => world.lines.some((line) => line.endsWith("linked to the hub")));
  await pause(500);
  expect(await world.rig("west")).toMatchObject({ card: "gone", frames: 6, cardFreeGB: 0 });

  card.putIn();
  await world.untilRig("another one is in", "west", (rig) => rig.card === "in" && rig.cardFreeGB > 0.06);
  write("C.JPG", 1);
  await world.untilRig("it counts on", "west", ({ frames }) => frames === 7);
  await agent.close();
});
