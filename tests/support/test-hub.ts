/** A hub in the test's own process, on a loopback port of its own. */
import { HubClock } from "../../hub/clock/hub-clock.ts";
import { machinePorts } from "../../hub/clock/ports.ts";
import { createHub, type Hub } from "../../hub/hub.ts";
import type { EventLog } from "../../hub/log/event-log.ts";
import { MemoryLog } from "../../hub/log/memory-log.ts";
import { OnePort } from "../../hub/network/one-port.ts";
import { SynchronisedSystem } from "./told-system.ts";

export const PIN = "271828";
/** What a log keeps of that PIN, made once: it takes 50 ms of a processor by design. */
let pinRecord: unknown;

export interface TestHub extends Hub {
  url: string;
  clock: HubClock;
  errors: unknown[];
  /** Calls the interface; `token` is sent as Bearer. */
  call(
    method: string,
    path: string,
    body?: unknown,
    token?: string,
    headers?: Record<string, string>,
  ): Promise<{ status: number; body: any; headers: Headers }>;
  /** A lead's session, as the door opens it for the right PIN (sign-in.test.ts goes through the door). */
  signIn(): Promise<string>;
  stop(): Promise<void>;
}

/**
 * `atPort`: where a hub was before, to start it again for the same clients. `system`: what the machine
 * says of its own clock: that it is synchronised, or nothing, as a laptop without a network.
 */
export async function startTestHub(
  log: EventLog = new MemoryLog(),
  atPort = 0,
  system: "synchronised" | "silent" = "synchronised",
): Promise<TestHub> {
  // The door the hub really has: it hands connections to Node's server in its own way.
  const onePort = new OnePort({ onRequest: () => undefined });
  const port = await onePort.listen(atPort, "127.0.0.1");
  const url = `http://127.0.0.1:${port}`;
  const ports = machinePorts();
  const sources = system === "synchronised" ? [new SynchronisedSystem(ports)] : [];
  const clock = new HubClock({ ports, epoch: "test", sources });
  clock.start();
  // It looks at its sources twice a second; what a test asks first is not to meet the clock before that.
  clock.tick();
  const errors: unknown[] = [];
  const hub = createHub({
    servers: [onePort.http],
    log,
    clock,
    pagesDir: "/nonexistent",
    version: "test",
    isOurHost: (host) => host === `127.0.0.1:${port}`,
    isOurOrigin: (origin) => origin === undefined || origin === url,
    origins: () => [url],
    onError: (error) => errors.push(error),
  });
  if (!hub.parts.keys.hasPin()) {
    if (pinRecord === undefined) hub.parts.keys.setPin(PIN);
    else log.setSetting("leadPin", pinRecord);
    pinRecord ??= log.getSetting("leadPin");
  }
  const call: TestHub["call"] = async (method, path, body, token, headers = {}) => {
    const response = await fetch(`${url}${path}`, {
      method,
      headers: {
        ...(body === undefined ? {} : { "Content-Type": "application/json" }),
        ...(token ? { Authorization: `Bearer ${token}` } : {}),
        ...headers,
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    const text = await response.text();
    let parsed: unknown = text;
    try {
      parsed = JSON.parse(text);
    } catch {
      // not JSON: as it is
    }
    return { status: response.status, body: parsed, headers: response.headers };
  };
  return {
    ...hub,
    url,
    clock,
    errors,
    call,
    signIn: async () => hub.parts.keys.openSession("lead", clock.now()),
    async stop() {
      await hub.close();
      clock.stop();
      await onePort.close(0);
    },
  };
}

/** An invented plan on a real path: near Luxor, where totality of 2027-08-02 is long. */
export const LUXOR_PLAN = {
  group: "Meridian Field Group",
  eclipse: "2027-08-02",
  site: { name: "Palm Field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 },
  rigs: [
    { id: "west", name: "West telescope", kind: "tracked-telescope", operator: "Ada", focalLengthMm: 480 },
    { id: "wide", name: "Horizon camera", kind: "wide-camera", filter: "none by design", focalLengthMm: 14 },
  ],
};
