/**
 * How a page's socket opens: directly at first, and after a few vain attempts only when the hub
 * answers a plain request, because browsers hold new WebSockets back after many failures. The
 * Socket.IO client is played by the test, the knock by a fetch of the test's own.
 */
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";

class PlayedClient {
  connected = false;
  connects = 0;
  readonly io = { engine: { close: vi.fn() } };
  readonly listeners = new Map<string, () => void>();
  on(event: string, listener: () => void): void {
    const before = this.listeners.get(event);
    this.listeners.set(event, () => {
      before?.();
      listener();
    });
  }
  connect(): void {
    this.connects++;
  }
  disconnect(): void {
    this.connected = false;
  }
  open(): void {
    this.connected = true;
    this.listeners.get("connect")?.();
  }
}

const played = vi.hoisted(() => ({ client: undefined as unknown }));
vi.mock("../../../console/link/socket-client.ts", () => ({ io: () => played.client }));

const turns = async () => {
  for (let n = 0; n < 20; n++) await Promise.resolve();
};

describe("a page's socket", () => {
  let client: PlayedClient;
  let knocks: { path: string; answer: (ok: boolean) => void; fail: () => void; aborted: () => boolean }[];

  beforeEach(() => {
    client = new PlayedClient();
    played.client = client;
    knocks = [];
    vi.stubGlobal("fetch", (path: string, { signal }: { signal: AbortSignal }) => {
      return new Promise((resolve, reject) => {
        signal.addEventListener("abort", () => reject(new Error("aborted")));
        knocks.push({
          path,
          answer: (ok) => resolve({ ok }),
          fail: () => reject(new TypeError("unreachable")),
          aborted: () => signal.aborted,
        });
      });
    });
  });
  afterEach(() => {
    vi.unstubAllGlobals();
  });

  async function opened() {
    const { browserSocket } = await import("../../../console/link/browser-socket.ts");
    const socket = browserSocket();
    await vi.waitFor(() => expect(client.listeners.has("connect")).toBe(true));
    return socket;
  }
  /** The watchdog's way: close what is silent, open anew. */
  async function attempts(socket: Awaited<ReturnType<typeof opened>>, times: number) {
    for (let n = 0; n < times; n++) {
      socket.connect();
      await turns();
      if (n < times - 1) socket.disconnect();
    }
  }

  it("opens directly the first four times, then knocks, and opens when the hub answers", async () => {
    const socket = await opened();
    await attempts(socket, 4);
    expect([client.connects, knocks.length]).toEqual([4, 0]);
    socket.disconnect();
    await attempts(socket, 1);
    expect([client.connects, knocks.length]).toEqual([4, 1]);
    expect(knocks[0]?.path).toBe("/api/health");
    knocks[0]?.answer(true);
    await turns();
    expect(client.connects).toBe(5);
  });

  it("stays closed when the knock fails or is answered by something else", async () => {
    const socket = await opened();
    await attempts(socket, 5);
    knocks[0]?.fail();
    await turns();
    socket.disconnect();
    await attempts(socket, 1);
    knocks[1]?.answer(false);
    await turns();
    expect([client.connects, knocks.length]).toEqual([4, 2]);
  });

  it("takes no late answer for a knock that was given up", async () => {
    const socket = await opened();
    await attempts(socket, 5);
    socket.disconnect();
    expect(knocks[0]?.aborted()).toBe(true);
    knocks[0]?.answer(true);
    await turns();
    expect(client.connects).toBe(4);
  });

  it("opens directly again after it was once linked", async () => {
    const socket = await opened();
    await attempts(socket, 5);
    knocks[0]?.answer(true);
    await turns();
    client.open();
    socket.disconnect();
    await attempts(socket, 1);
    expect([client.connects, knocks.length]).toEqual([6, 1]);
  });
});
