/**
 * Many clients in this process: sockets that send what pages send (probes, pulses, reports) and
 * note when something arrives, without what pages do with it.
 */
import { letIn, type PlainSocket, plainSocket } from "../../../hub/people/plain-socket.ts";
import type { HelloWords } from "../../../shared/protocol/messages.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { call, PIN } from "./hub-process.ts";

const RIG_POLL_MS = 4000;
const RIG_BURST = 3;
const BOARD_POLL_MS = 15_000;
const BOARD_BURST = 2;
const PULSE_MS = 2000;

/** What a crowd sends beside its reports, for the name of a figure. */
export function chatterPerS(rigs: number, boards: number): string {
  const probes = (rigs * RIG_BURST * 1000) / RIG_POLL_MS + (boards * BOARD_BURST * 1000) / BOARD_POLL_MS;
  const pulses = (rigs * 1000) / PULSE_MS;
  return `${Math.round(probes)} probes/s, ${Math.round(pulses)} pulses/s`;
}

export interface Crowd {
  lead: PlainSocket;
  rigs: PlainSocket[];
  boards: PlainSocket[];
  close(): void;
}

/** An invented site with so many tracked telescopes. */
export function benchPlan(rigCount: number) {
  const rigs = Array.from({ length: rigCount }, (_, n) => ({
    id: `rig-${n}`,
    name: `Rig ${n}`,
    kind: "tracked-telescope",
    focalLengthMm: 400,
  }));
  const site = { name: "Bench field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 };
  return { group: "Bench", eclipse: "2027-08-02", site, rigs };
}

/** Plans it; gives the lead's token. */
export async function planSite(url: string, rigCount: number): Promise<string> {
  const { token } = await call(url, "POST", "/api/lead/session", { pin: PIN });
  await call(url, "PUT", "/api/plan", benchPlan(rigCount), token, { "If-Match": '"plan-0"' });
  return token;
}

/** How long reports take until the lead has them. */
export function arrivals(lead: PlainSocket) {
  const sent = new Map<string, number>();
  const took: number[] = [];
  lead.on("events", (events) => {
    const now = performance.now();
    for (const event of events) {
      const at = sent.get(event.commandId);
      if (at !== undefined) took.push(now - at);
    }
  });
  return {
    /** `id`: of the report that goes off now. */
    sent: (id: string) => void sent.set(id, performance.now()),
    /** Of each, ms. Throws Error when one has not arrived. */
    all(): number[] {
      if (took.length !== sent.size) throw new Error(`${sent.size - took.length} reports did not arrive`);
      return took;
    },
  };
}

export async function gather(
  url: string,
  token: string,
  rigCount: number,
  boardCount: number,
): Promise<Crowd> {
  const timers: NodeJS.Timeout[] = [];
  const common = { protocol: PROTOCOL };
  const lead = await open(url, { role: "lead", token, deviceId: "lead", ...common });
  const rigs: PlainSocket[] = [];
  for (let n = 0; n < rigCount; n++) {
    const id = `rig-${n}`;
    const link = await call(url, "GET", `/api/rigs/${id}/link`, undefined, token);
    const rig = await open(url, {
      role: "rig",
      rigs: [{ id, token: link.token }],
      deviceId: `phone-${n}`,
      ...common,
    });
    rigs.push(rig);
    every(timers, RIG_POLL_MS, () => probe(rig, RIG_BURST));
    every(timers, PULSE_MS, () =>
      rig.emit("pulse", { boundMs: 2, utcBoundMs: 20, armed: true, ownClockOffsetMs: 1 }),
    );
  }
  const boards: PlainSocket[] = [];
  for (let n = 0; n < boardCount; n += 25) {
    const more = Array.from({ length: Math.min(25, boardCount - n) }, () =>
      open(url, { role: "board", ...common }),
    );
    boards.push(...(await Promise.all(more)));
  }
  for (const board of boards) every(timers, BOARD_POLL_MS, () => probe(board, BOARD_BURST));
  return {
    lead,
    rigs,
    boards,
    close() {
      for (const timer of timers) clearInterval(timer);
      for (const socket of [lead, ...rigs, ...boards]) socket.disconnect();
    },
  };
}

async function open(url: string, hello: HelloWords): Promise<PlainSocket> {
  const socket = plainSocket(url, hello);
  await letIn(socket);
  return socket;
}

/** Spread over the interval, so that a crowd does not speak in one voice. */
function every(timers: NodeJS.Timeout[], ms: number, task: () => void): void {
  const first = setTimeout(() => timers.push(setInterval(task, ms)), Math.random() * ms);
  timers.push(first);
}

function probe(socket: PlainSocket, exchanges: number): void {
  for (let n = 0; n < exchanges; n++) {
    setTimeout(() => socket.emit("probe", { t1: performance.now() }, () => undefined), n * 15);
  }
}
