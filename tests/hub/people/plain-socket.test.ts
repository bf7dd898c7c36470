/** A client without a session: let in, or told why not. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { letIn, plainSocket } from "../../../hub/people/plain-socket.ts";
import { seeded } from "../../../hub/people/seeded.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
beforeAll(async () => {
  hub = await startTestHub();
});
afterAll(() => hub.stop());

describe("a plain socket", () => {
  it("comes in, asks for the time, and does not come back by itself", async () => {
    const socket = plainSocket(hub.url, { role: "board", protocol: PROTOCOL });
    const board = new Promise((resolve) => socket.once("board", resolve));
    await letIn(socket);
    expect(await board).toMatchObject({ cover: false });
    const { t2, t3, hubBoundMs } = await socket.timeout(5000).emitWithAck("probe", { t1: 1 });
    expect(t3).toBeGreaterThanOrEqual(t2);
    expect(Math.abs(t2 - hub.clock.now())).toBeLessThan(5000);
    expect(hubBoundMs).toBeGreaterThan(0);
    const gone = new Promise((resolve) => socket.once("disconnect", resolve));
    hub.io.disconnectSockets(true);
    await gone;
    expect(socket.active).toBe(false);
  });

  it("says why it was not let in", async () => {
    const socket = plainSocket(hub.url, { role: "board", protocol: PROTOCOL + 1 });
    await expect(letIn(socket)).rejects.toThrow(/load it again/);
  });

  it("says when nobody answers", async () => {
    // The discard service's port (RFC 863), which no machine of ours serves.
    const socket = plainSocket("http://127.0.0.1:9", { role: "board", protocol: PROTOCOL });
    await expect(letIn(socket, 5000)).rejects.toThrow();
    socket.disconnect();
  });
});

describe("seeded numbers", () => {
  it("are the same at every run, and others for another text", () => {
    const [a, b, c] = [seeded("x"), seeded("x"), seeded("y")];
    const first = Array.from({ length: 100 }, () => a());
    expect(Array.from({ length: 100 }, () => b())).toEqual(first);
    expect(first.every((value) => value >= 0 && value < 1)).toBe(true);
    expect(new Set(first).size).toBe(100);
    expect(c()).not.toBe(first[0]);
  });
});
