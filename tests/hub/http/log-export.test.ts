/** A long log is exported beside everything else the hub has to do. */
import { type ClientRequest, get, type IncomingMessage } from "node:http";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { entryOf, eventNumber } from "../../contract/event-log-data.ts";
import { loopTurns } from "../../support/loop-turns.ts";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";

const ROWS = 30_000;
let hub: TestHub;
let token: string;

beforeEach(async () => {
  const log = new MemoryLog();
  const payload = { messageId: "m", text: "x".repeat(300), rigIds: null, by: "lead:Ada" };
  const events = Array.from({ length: ROWS }, (_, index) =>
    eventNumber(index + 1, { type: "messageSent", payload }),
  );
  await log.append(entryOf("many", events));
  hub = await startTestHub(log);
  token = await hub.signIn();
});
afterEach(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

describe("exporting a long log", () => {
  it.each(["json", "csv"])("as %s holds every row and never holds up a safety order", async (form) => {
    let rows = 0;
    const turns = await loopTurns(
      new Promise<void>((resolve, reject) => {
        const headers = { Authorization: `Bearer ${token}` };
        get(`${hub.url}/api/log.${form}`, { headers }, (response) => {
          response.on("data", (part: Buffer) => {
            for (const byte of part) if (byte === 10) rows++;
          });
          response.on("end", resolve).on("error", reject);
        }).on("error", reject);
      }),
    );
    expect(rows).toBeGreaterThanOrEqual(ROWS);
    // Other work has its turn at least every 200 rows.
    expect(turns).toBeGreaterThanOrEqual(ROWS / 200);
  });

  it("waits for a reader that does not read, and ends when it goes away", async () => {
    const { log } = hub.parts;
    const read = log.read.bind(log);
    let rows = 0;
    let ended = false;
    log.read = function* (filter) {
      try {
        for (const event of read(filter)) {
          rows++;
          yield event;
        }
      } finally {
        ended = true;
      }
    };
    const headers = { Authorization: `Bearer ${token}` };
    let request: ClientRequest | undefined;
    const response = await new Promise<IncomingMessage>((resolve) => {
      request = get(`${hub.url}/api/log.json`, { headers }, resolve);
    });
    response.pause();
    await new Promise((done) => setTimeout(done, 500));
    // What fits into the sockets' buffers; the rest stays in the log.
    expect(rows).toBeLessThan(ROWS * 0.9);
    expect(ended).toBe(false);
    request?.on("error", () => undefined);
    response.on("error", () => undefined);
    request?.destroy();
    await vi.waitFor(() => expect(ended).toBe(true), { timeout: 10_000 });
    expect(rows).toBeLessThan(ROWS * 0.9);
    expect((await hub.call("GET", "/api/health")).status).toBe(200);
  });
});
