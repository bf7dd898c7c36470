/** Visitors who ask for circumstances do not slow a safety order. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { loopTurns } from "../../support/loop-turns.ts";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
beforeAll(async () => {
  hub = await startTestHub();
  // Reads the tables once.
  await hub.call("GET", "/api/circumstances?eclipse=2027-08-02&lat=25.4&lon=32.6");
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

describe("circumstances with the limb", () => {
  it("asked for by many at one time hold the hub up for no longer than a step at a time", async () => {
    const many = Array.from({ length: 20 }, (_, n) =>
      hub.call("GET", `/api/circumstances?eclipse=2027-08-02&lat=${25.5 + n / 100}&lon=32.6`),
    );
    const turns = await loopTurns(Promise.all(many));
    const answers = await Promise.all(many);
    for (const { status, body } of answers) {
      expect(status).toBe(200);
      expect(body.limb.c2ShiftS).toEqual(expect.any(Number));
    }
    // In one piece each, they would let other work in some twenty times; npm run bench has the times.
    expect(turns).toBeGreaterThan(20 * 5);
  });

  it("are the same when asked again, and differ with the place", async () => {
    const ask = (lat: number) =>
      hub.call("GET", `/api/circumstances?eclipse=2027-08-02&lat=${lat}&lon=32.6&height=80`);
    const first = await ask(25.5);
    expect((await ask(25.5)).body).toEqual(first.body);
    expect((await ask(25.51)).body.contacts.c2).not.toEqual(first.body.contacts.c2);
    const unknown = await hub.call("GET", "/api/circumstances?eclipse=2027-08-03&lat=25&lon=32");
    expect(unknown).toMatchObject({ status: 400, body: { error: { field: "eclipse" } } });
  });
});
