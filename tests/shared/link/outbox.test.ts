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

test("L2: told that it sends too much it waits as long as the hub says, ten seconds at most, and drops nothing", async () => {
  let now = 0;
  const store = new FakeStore();
  const socket = new FakeSocket();
  socket.connected = true;
  const outbox = new Outbox(
    store,
    socket,
    () => undefined,
    undefined,
    () => now,
  );
  let retryAfterMs: unknown = 2000;
  const tooMany = () => ({
    ok: false,
    refusal: { code: "too-many", message: "wait", data: { retryAfterMs } },
  });
  socket.answer = async (_event, data) => (data as unknown[]).map(tooMany);
  const asked = async () => {
    const before = socket.requests.length;
    await outbox.flush();
    return socket.requests.length - before;
  };
  await outbox.add(ITEM, 0);
  expect(await asked()).toBe(1);
  now = 1999;
  expect(await asked()).toBe(0);
  now = 2000;
  retryAfterMs = 3_600_000;
  expect(await asked()).toBe(1);
  now += 9999;
  expect(await asked()).toBe(0);
  now += 1;
  retryAfterMs = "soon";
  expect(await asked()).toBe(1);
  expect(await asked()).toBe(1);
  expect(outbox.items).toMatchObject([{ id: "one" }]);
  expect(outbox.rejected).toEqual([]);
  socket.answer = async (_event, data) => (data as unknown[]).map(() => ({ ok: true, seq: 1 }));
  expect(await asked()).toBe(1);
  expect(outbox.items).toEqual([]);
  expect(store.saved.outbox).toEqual([]);
});
