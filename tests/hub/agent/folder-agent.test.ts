/** An agent that watches a folder, with a real hub over real sockets. */
import { appendFileSync, mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { type AgentWorld, agentWorld } from "./agent-world.ts";

let world: AgentWorld;
beforeAll(async () => {
  world = await agentWorld();
});
afterAll(async () => {
  await world.stop();
  expect(world.hub.errors).toEqual([]);
});

const frame = (folder: string, name: string, bytes = 1000) =>
  writeFileSync(join(folder, name), Buffer.alloc(bytes));

test("frames that arrive are counted, pairs once, and what lay there before is not", async () => {
  const card = world.folder("card");
  frame(card, "OLD_0001.JPG");
  const began = Date.now();
  const memory = world.folder("memory");
  const agent = await world.agent("west", ["--watch", card], memory);
  const first = await world.untilRig("the card is known", "west", (rig) => rig.cardFreeGB !== null);
  expect(first).toMatchObject({ frames: 0, lastFrameUtcMs: null, card: "in", linked: false });
  mkdirSync(join(card, "DCIM"));
  frame(join(card, "DCIM"), "IMG_0002.JPG");
  frame(join(card, "DCIM"), "IMG_0002.DNG");
  frame(join(card, "DCIM"), "IMG_0003.fit");
  frame(card, "notes.txt");
  frame(card, ".hidden.jpg");
  const rig = await world.untilRig("two frames are counted", "west", ({ frames }) => frames === 2);
  expect(rig.lastFrameUtcMs).toBeGreaterThan(began);
  expect(rig.lastFrameUtcMs).toBeLessThanOrEqual(Date.now());
  for (const field of ["cardFreeGB", "frames", "lastFrameUtcMs"])
    expect(rig.from[field]).toMatchObject({ by: "instrument", instrument: "folder" });
  expect(rig.devices).toMatchObject([{ agent: true }]);

  // Ended and begun again: it counts on, with what came meanwhile.
  await agent.close();
  frame(card, "IMG_0004.JPG");
  await world.agent("west", ["--watch", card], memory).then(async (again) => {
    await world.untilRig("it counts on", "west", ({ frames }) => frames === 3);
    await again.close();
  });
});

test("a file that still grows is no frame yet; a growing video is a recording, until it ends", async () => {
  const card = world.folder("card");
  const agent = await world.agent("wide", ["--watch", card]);
  await until("the card is known", () =>
    world.lines.some((line) => line.startsWith(`wide: ${card}: 0 files`)),
  );
  const clip = join(card, "CLIP.MP4");
  frame(card, "CLIP.MP4", 1000);
  const grow = setInterval(() => appendFileSync(clip, Buffer.alloc(1000)), 40);
  const rig = await world.untilRig("it records", "wide", ({ recording }) => recording === true);
  expect(rig.from.recording).toMatchObject({ by: "instrument", instrument: "folder" });
  expect(rig.frames).toBe(0);
  clearInterval(grow);
  await world.untilRig("it has ended", "wide", ({ recording }) => recording === false);
  await agent.close();
});

test("a card that is taken out reads gone, and what was counted stays counted", async () => {
  const card = world.folder("card");
  const agent = await world.agent("wide", ["--watch", card]);
  await until("the card is known", () =>
    world.lines.some((line) => line.startsWith(`wide: ${card}: 0 files`)),
  );
  frame(card, "A.JPG");
  await world.untilRig("a frame", "wide", ({ frames }) => frames === 1);
  rmSync(card, { recursive: true });
  const gone = await world.untilRig("the card is gone", "wide", (rig) => rig.card === "gone");
  expect(gone.frames).toBe(1);
  // The link's lines stand between them.
  expect(world.lines.filter((line) => line.includes(card)).at(-1)).toMatch(/card gone$/);
  await agent.close();
});
