/**
 * Far more than any person does, from strangers without a token and from somebody with a rig's
 * link, while a good rig reports beside. Sought: the hub down, a report lost; told: how long the
 * good rig waited.
 */
import { connect, type Socket as TcpSocket } from "node:net";
import { type PlainSocket, plainSocket } from "../../../hub/people/plain-socket.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { GoodRig } from "../support/good-rig.ts";
import { HubProcess, planField } from "../support/hub-process.ts";
import type { Figure, Part } from "../support/part.ts";

const FLOOD_MS = 6000;
/** On two busy cores; a hub that one stranger can hold up waits for many seconds. */
const MOST_WAIT_MS = 3000;

type Flood = (hub: HubProcess, until: () => boolean) => Promise<number>;

export const run: Part = async (_options, say) => {
  const figures: Figure[] = [];
  for (const [name, flood] of Object.entries(FLOODS)) {
    say(name);
    figures.push(...(await under(name, flood)));
  }
  return figures;
};

async function under(name: string, flood: Flood): Promise<Figure[]> {
  const hub = await HubProcess.start();
  try {
    await planField(hub);
    const rig = new GoodRig(hub, "west");
    await rig.begin();
    const endMs = performance.now() + FLOOD_MS;
    const sent = await flood(hub, () => performance.now() > endMs || !hub.running);
    await rig.stop();
    const lost = hub.running ? await rig.lost().catch(() => rig.sent) : rig.sent;
    return [
      { figure: `${name}: sent in ${FLOOD_MS / 1000} s`, value: sent, unit: "times" },
      { figure: `${name}: hub still up`, value: hub.running ? 1 : 0, unit: "hubs", least: 1 },
      { figure: `${name}: reports beside it`, value: rig.sent.length, unit: "reports", least: 1 },
      {
        figure: `${name}: of those not taken or lost`,
        value: rig.failed + lost.length,
        unit: "reports",
        most: 0,
      },
      {
        figure: `${name}: longest wait of the rig beside it`,
        value: Math.round(rig.longestMs),
        unit: "ms",
        most: MOST_WAIT_MS,
      },
    ];
  } finally {
    await hub.remove();
  }
}

const FLOODS: Record<string, Flood> = {
  "without a token, wrong PINs": (hub, until) =>
    many(30, until, () => hub.call("POST", "/api/lead/session", { pin: "000000" })),

  "without a token, wrong PINs in one write": async (hub, until) => {
    const body = '{"pin":"000000"}';
    const one = `POST /api/lead/session HTTP/1.1\r\nHost: ${new URL(hub.url).host}\r\nContent-Type: application/json\r\nContent-Length: ${body.length}\r\n\r\n${body}`;
    return many(3, until, () => written(hub, one.repeat(300), 1500));
  },

  "without a token, questions that take long": (hub, until) =>
    many(30, until, (n) =>
      hub.call("GET", `/api/circumstances?eclipse=2027-08-02&lat=${(n % 160) / 2 - 40}&lon=${n % 180}`),
    ),

  "without a token, connections that say nothing": async (hub, until) => {
    const open: TcpSocket[] = [];
    const { port } = new URL(hub.url);
    for (let n = 0; n < 3000 && !until(); n++) {
      const socket = connect(Number(port), "127.0.0.1");
      socket.on("error", () => undefined);
      open.push(socket);
      if (n % 100 === 0) await pauseMs(20);
    }
    while (!until()) await pauseMs(50);
    for (const socket of open) socket.destroy();
    return open.length;
  },

  "without a token, boards": async (hub, until) => {
    const open: PlainSocket[] = [];
    while (!until()) {
      if (open.length < 400) open.push(plainSocket(hub.url, { role: "board", protocol: PROTOCOL }));
      for (const socket of open) socket.emit("probe", { t1: 1 }, () => undefined);
      await pauseMs(20);
    }
    for (const socket of open) socket.disconnect();
    return open.length;
  },

  "with a rig's link, reports over HTTP": async (hub, until) => {
    const token = await hub.rigToken("wide");
    return many(40, until, (n) =>
      hub.call(
        "POST",
        "/api/rigs/wide/reports",
        { id: `flood-${n}`, atUtcMs: Date.now(), batteryPct: n % 100 },
        token,
      ),
    );
  },

  "with a rig's link, facts with made-up checks": async (hub, until) => {
    const token = await hub.rigToken("wide");
    const rigs = [{ id: "wide", token }];
    const socket = plainSocket(hub.url, { role: "rig", rigs, deviceId: "flood", protocol: PROTOCOL });
    let sent = 0;
    while (!until()) {
      // Cut off, it comes back at once.
      if (!socket.connected) socket.connect();
      const facts = Array.from({ length: 50 }, () => {
        sent++;
        const checks = Object.fromEntries(
          Array.from({ length: 60 }, (_, k) => [`made-up-${sent}-${k}`, true]),
        );
        return {
          id: `check-${sent}`,
          fact: {
            v: 1 as const,
            rigId: "wide",
            deviceSeq: sent,
            observedUtcMs: Date.now(),
            report: { checks },
          },
        };
      });
      socket.emit("facts", facts, () => undefined);
      await pauseMs(100);
    }
    socket.disconnect();
    return sent;
  },
};

/** So many at a time, until it is over; how many in all. What they answer does not matter. */
async function many(
  atOnce: number,
  until: () => boolean,
  once: (n: number) => Promise<unknown>,
): Promise<number> {
  let sent = 0;
  const worker = async (): Promise<void> => {
    while (!until()) await once(++sent).catch(() => undefined);
  };
  await Promise.all(Array.from({ length: atOnce }, worker));
  return sent;
}

function written(hub: HubProcess, text: string, forMs: number): Promise<void> {
  return new Promise((resolve) => {
    const socket = connect(Number(new URL(hub.url).port), "127.0.0.1", () => socket.write(text));
    socket.on("error", () => undefined);
    socket.on("close", () => resolve());
    socket.resume();
    setTimeout(() => socket.destroy(), forMs);
  });
}

function pauseMs(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
