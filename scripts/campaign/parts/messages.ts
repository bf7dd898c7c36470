/**
 * Malformed messages of every kind, over HTTP, sockets and bare connections, with every right there
 * is, while a good rig reports beside. Sought: a crash, a failure inside, a report lost.
 */
import { connect } from "node:net";
import { io, type Socket } from "socket.io-client";
import { seeded } from "../../../hub/people/seeded.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { GoodRig } from "../support/good-rig.ts";
import { HubProcess, planField } from "../support/hub-process.ts";
import type { Part } from "../support/part.ts";

const MOST_MESSAGES = 8000;
const AT_ONCE = 40;

export const run: Part = async ({ seed, seconds }, say) => {
  const random = seeded(`messages ${seed}`);
  const deadlineMs = performance.now() + Math.min(seconds, 120) * 1000;
  const hub = await HubProcess.start();
  try {
    await planField(hub);
    const rig = new GoodRig(hub, "west");
    await rig.begin();
    const lead = await hub.lead();
    const wide = await hub.rigToken("wide");
    const { paths } = (await hub.call("GET", "/api/openapi.json")).body;
    const routes = Object.entries(paths).flatMap(([path, methods]) =>
      Object.keys(methods as object).map((method) => ({ method: method.toUpperCase(), path })),
    );
    let sent = 0;
    let failures = 0;
    while (sent < MOST_MESSAGES && performance.now() < deadlineMs && hub.running) {
      const batch = Array.from({ length: AT_ONCE }, async () => {
        sent++;
        const dice = random();
        if (dice < 0.1) return bare(hub, random);
        if (dice < 0.25) return viaSocket(hub, random, [lead, wide]);
        const status = await viaHttp(hub, random, routes, [lead, wide, undefined]);
        if (status === 500) failures++;
        return undefined;
      });
      await Promise.all(batch);
    }
    await rig.stop();
    const alive = hub.running ? 1 : 0;
    if (!alive) say(hub.printed.slice(-1500));
    const bugs = hub.printed.match(/^\s+at .*$/gm)?.length ?? 0;
    const kinds = new Set(
      hub.printed.match(/^\w*Error: .*$/gm)?.map((line) => line.replace(/\S*\/site\.db/, "site.db")),
    );
    for (const kind of kinds) say(kind);
    const lost = alive ? await rig.lost() : rig.sent;
    return [
      { figure: "malformed messages", value: sent, unit: "messages", least: 1000 },
      { figure: "hub still up", value: alive, unit: "hubs", least: 1 },
      { figure: "answered as a failure of the hub's own", value: failures, unit: "messages", most: 0 },
      { figure: "lines of failures that it printed", value: bugs, unit: "lines", most: 0 },
      { figure: "reports of the rig beside them", value: rig.sent.length, unit: "reports", least: 1 },
      { figure: "of those not taken or lost", value: rig.failed + lost.length, unit: "reports", most: 0 },
      { figure: "its longest wait", value: Math.round(rig.longestMs), unit: "ms" },
    ];
  } finally {
    await hub.remove();
  }
};

/** Anything that JSON can say and a program would not. */
function anything(random: () => number, depth = 0): unknown {
  const pick = Math.floor(random() * (depth > 3 ? 9 : 12));
  const strange = [
    null,
    -1,
    1e308,
    0.1 + 0.2,
    "",
    "__proto__",
    "constructor",
    "x".repeat(Math.floor(random() * 3000)),
    "\u0000\u202e\ud800",
  ];
  if (pick < strange.length) return strange[pick];
  if (pick === 9) return random() < 0.5;
  const size = Math.floor(random() * 6);
  if (pick === 10) return Array.from({ length: size }, () => anything(random, depth + 1));
  const keys = [
    "id",
    "v",
    "type",
    "rigId",
    "report",
    "order",
    "draft",
    "rigs",
    "filter",
    "checks",
    "toString",
    "fact",
  ];
  return Object.fromEntries(
    Array.from({ length: size }, () => [
      keys[Math.floor(random() * keys.length)],
      anything(random, depth + 1),
    ]),
  );
}

/** A good message with one place in it spoilt. */
function nearly(good: unknown, random: () => number): unknown {
  if (random() < 0.25 || typeof good !== "object" || good === null) return anything(random);
  const entries = Object.entries(good);
  if (entries.length === 0) return anything(random);
  const at = Math.floor(random() * entries.length);
  const spoilt = entries.map(([key, value], n) => [key, n === at ? nearly(value, random) : value] as const);
  return Array.isArray(good) ? spoilt.map(([, value]) => value) : Object.fromEntries(spoilt);
}

const GOOD: Record<string, unknown> = {
  report: { id: "m", atUtcMs: 1.8e12, filter: "on", checks: { focus: true } },
  order: { id: "m", order: { type: "sendMessage", text: "x", rigIds: ["west"] } },
  shift: { id: "m", order: { type: "shiftContact", contact: "c2", shiftS: 1 } },
  plan: {
    revision: 1,
    eclipse: "2027-08-02",
    site: { name: "P", latDeg: 25, lonDeg: 32 },
    rigs: [{ id: "west", name: "W", kind: "tracked-telescope", cues: [] }],
  },
  practice: { anchor: "C2", offsetS: -100, rate: 1 },
  facts: [
    { id: "m", fact: { v: 1, rigId: "wide", deviceSeq: 1, observedUtcMs: 1.8e12, report: { help: true } } },
  ],
  pulse: { boundMs: 2, utcBoundMs: 20, armed: true, ownClockOffsetMs: 1 },
  probe: { t1: 5 },
  resync: { seq: 3 },
};
const KINDS = Object.keys(GOOD);

async function viaHttp(
  hub: HubProcess,
  random: () => number,
  routes: readonly { method: string; path: string }[],
  tokens: readonly (string | undefined)[],
): Promise<number> {
  const { method, path } = routes[Math.floor(random() * routes.length)] ?? { method: "GET", path: "/api" };
  // Signing in is for the floods; signing out would end the campaign's own session.
  // A new link, asked for with a lead's right, is no malformed message: it would send the good rig away.
  if (path === "/api/lead/session" || (method === "POST" && path.endsWith("/link"))) return 0;
  const token = tokens[Math.floor(random() * tokens.length)];
  const ids = ["west", "wide", "__proto__", "%00", "x".repeat(200), "..%2f..%2fetc"];
  const at = path.replace(/\{[^}]+\}/g, () => ids[Math.floor(random() * ids.length)] ?? "west");
  const query =
    random() < 0.3 ? `?${new URLSearchParams({ eclipse: String(anything(random, 9)) })}&lat=9e9&run[]=1` : "";
  const good = GOOD[KINDS[Math.floor(random() * KINDS.length)] ?? "report"];
  let body: string | undefined;
  if (method !== "GET" && method !== "DELETE") {
    body = JSON.stringify(nearly(good, random));
    if (random() < 0.2) body = body.slice(0, Math.floor(random() * body.length));
  }
  const response = await fetch(`${hub.url}${at}${query}`, {
    method,
    headers: {
      ...(body !== undefined && { "Content-Type": random() < 0.9 ? "application/json" : "text/plain" }),
      ...(token !== undefined && { Authorization: `Bearer ${token}` }),
    },
    ...(body !== undefined && { body }),
    signal: AbortSignal.timeout(20_000),
  }).catch(() => undefined);
  await response?.arrayBuffer().catch(() => undefined);
  return response?.status ?? 0;
}

function viaSocket(hub: HubProcess, random: () => number, [lead, wide]: readonly string[]): Promise<void> {
  const good =
    random() < 0.5
      ? { role: "lead", token: lead, deviceId: "m", protocol: PROTOCOL }
      : { role: "rig", rigs: [{ id: "wide", token: wide }], deviceId: "m", protocol: PROTOCOL };
  const auth = (random() < 0.3 ? nearly(good, random) : good) as Record<string, unknown>;
  const socket: Socket = io(hub.url, {
    transports: ["websocket"],
    forceNew: true,
    reconnection: false,
    auth: typeof auth === "object" && auth !== null ? auth : {},
  });
  return new Promise((resolve) => {
    const timer = setTimeout(end, 3000);
    function end(): void {
      clearTimeout(timer);
      socket.disconnect();
      resolve();
    }
    socket.once("connect_error", end);
    socket.once("connect", () => {
      for (let n = 0; n < 10; n++) {
        const kind = KINDS[Math.floor(random() * KINDS.length)] ?? "facts";
        const message = nearly(GOOD[kind], random);
        if (random() < 0.8) socket.emit(kind, message, () => undefined);
        else socket.emit(kind, message);
      }
      setTimeout(end, 50);
    });
  });
}

/** Bytes that are no HTTP, or half of it. */
function bare(hub: HubProcess, random: () => number): Promise<void> {
  const { port } = new URL(hub.url);
  const starts = [
    "GET /api/health HTTP/1.1\r\nHost: a\r\n",
    "POST /api/site HTTP/1.1\r\nContent-Length: 99999999999\r\n\r\n",
    "\x16\x03\x01\x00\xff",
    `GET /${"a".repeat(20_000)} HTTP/1.1\r\n\r\n`,
    "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    "GET /socket.io/?EIO=4&transport=websocket HTTP/1.1\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n",
  ];
  const noise = Buffer.from(
    Array.from({ length: Math.floor(random() * 400) }, () => Math.floor(random() * 256)),
  );
  return new Promise((resolve) => {
    const socket = connect(Number(port), "127.0.0.1", () => {
      socket.write(starts[Math.floor(random() * starts.length)] ?? "");
      socket.write(noise);
      setTimeout(() => socket.destroy(), 30);
    });
    socket.on("error", () => undefined);
    socket.on("close", () => resolve());
  });
}
