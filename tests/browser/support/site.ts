/** An invented site for the browser tests, and the lead's way of asking the hub about it. */
import type { HubProcess } from "./start-hub.ts";

/** On the path of 2027-08-02 but near its edge: totality of about three minutes. */
const PLAN = {
  group: "Meridian Field Group",
  eclipse: "2027-08-02",
  site: { name: "Palm Field", latDeg: 24.62, lonDeg: 32.6, heightM: 110 },
  rigs: [telescope("west", "Ada"), telescope("south", "Ben")],
};

/** As it stands in a plan, e.g. "West telescope" for "west". */
export function telescope(id: string, operator: string) {
  const name = `${id[0]?.toUpperCase()}${id.slice(1)} telescope`;
  return { id, name, kind: "tracked-telescope", operator, focalLengthMm: 480 };
}

export interface LeadCalls {
  /** Any call of the interface, as a lead. */
  ask(method: string, path: string, body?: unknown): Promise<any>;
  run(): Promise<any>;
  /** A rig as the hub has it in its run. */
  rig(rigId: string): Promise<any>;
  log(): Promise<LoggedEvent[]>;
  link(rigId: string): Promise<{ url: string; token: string }>;
  order(order: Record<string, unknown>): Promise<void>;
  practise(anchor: string, offsetS: number, rate?: number): Promise<void>;
  endPractice(): Promise<void>;
  /** What another program of the rig's says of it now. */
  say(rigId: string, report: Record<string, unknown>): Promise<void>;
  /** A hub that runs and practises nothing, whatever became of the test before. */
  ready(): Promise<void>;
}

export interface LoggedEvent {
  seq: number;
  runId: string;
  type: string;
  actor: string;
  commandId: string;
  observedUtcMs: number;
  loggedUtcMs: number;
  deviceId: string | null;
  payload: Record<string, unknown>;
}

export interface Place {
  latDeg?: number;
  lonDeg?: number;
  confirmed?: boolean;
  /** How well the coordinates are known, m. */
  placeBoundM?: number;
}

/** A rig of a plan, with the default cues of its kind. */
export type PlannedRig = ReturnType<typeof telescope> & { lookedThrough?: boolean };

/** `place`: where else than in the plan; towards latitude 24.45° totality gets shorter still. */
export async function planSite(
  hub: HubProcess,
  place: Place = {},
  rigs: readonly PlannedRig[] = PLAN.rigs,
): Promise<void> {
  const auth = { Authorization: `Bearer ${await hub.leadToken()}` };
  const plan = { ...PLAN, site: { ...PLAN.site, ...place }, rigs };
  await hub.call("PUT", "/api/plan", plan, { ...auth, "If-Match": '"plan-0"' });
}

export function leadCalls(hub: HubProcess): LeadCalls {
  const ask = async (method: string, path: string, body?: unknown) =>
    hub.call(method, path, body, { Authorization: `Bearer ${await hub.leadToken()}` });
  let sent = 0;
  const calls: LeadCalls = {
    ask,
    run: () => ask("GET", "/api/run"),
    rig: async (rigId) => (await calls.run()).rigs.find(({ id }: { id: string }) => id === rigId),
    log: async () => (await ask("GET", "/api/log.json")).events,
    async link(rigId) {
      const { url, token } = await ask("GET", `/api/rigs/${rigId}/link`);
      // Whatever address the hub gives to phones, this test reaches it by loopback.
      return { url: `${hub.url}${new URL(url).pathname}${new URL(url).hash}`, token };
    },
    async order(order) {
      await ask("POST", "/api/orders", { id: `test-${++sent}`, order });
    },
    async practise(anchor, offsetS, rate = 1) {
      await ask("POST", "/api/practice", { anchor, offsetS, rate });
    },
    async endPractice() {
      await ask("DELETE", "/api/practice").catch(() => undefined);
    },
    async say(rigId, report) {
      const { token } = await calls.link(rigId);
      const said = { id: `said-${++sent}`, atUtcMs: (await calls.run()).utcMs, ...report };
      await hub.call("POST", `/api/rigs/${rigId}/reports`, said, { Authorization: `Bearer ${token}` });
    },
    async ready() {
      const alive = await fetch(`${hub.url}/api/health`).then(
        () => true,
        () => false,
      );
      if (!alive) await hub.startAgain();
      await calls.endPractice();
    },
  };
  return calls;
}
