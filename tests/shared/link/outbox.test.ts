/** SPEC L1 where the order of two steps in one turn matters; the rest is in session.test.ts. */
import { expect, test } from "vitest";
import { Outbox } from "../../../shared/link/outbox.ts";
import type { QueuedFact } from "../../../shared/link/session-types.ts";
import { FakeSocket, FakeStore, WALL_AT_START } from "./fake-ports.ts";

const ITEM: QueuedFact = {
  id: "one",
  fact: {
    v: 1,
    rigId: "west",
    runId: null,
    deviceSeq: 0,
    observedUtcMs: WALL_AT_START,
    boundMs: 5,
    report: { filter: "off" },
  },
};

test("a fact is on its way to the store before anything is drawn, and drawn before it is stored", async () => {
  const steps: string[] = [];
  const store = new FakeStore();
  store.queue = async () => {
    steps.push("storing");
    await Promise.resolve();
    steps.push("stored");
    return 0;
  };
  const outbox = new Outbox(store, new FakeSocket(), () => steps.push(`drawn with ${outbox.items.length}`));
  await outbox.add(ITEM, 0);
  expect(steps).toEqual(["storing", "drawn with 1", "stored"]);
});
