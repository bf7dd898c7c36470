/** An invented site for the browser tests, and the lead's way of asking the hub about it. */
import type { HubProcess } from "./start-hub.ts";

/** On the path of 2027-08-02 but near its edge: totality of about three minutes. */
const PLAN = {
  group: "Meridian Field Group",
  eclipse: "2027-08-02",
  site: { name: "Palm Field", latDeg: 24.62, lonDeg: 32.6, heightM: 110 },
  rigs: [
    { id: "west", name: "West telescope", kind: "tracked-telescope", operator: "Ada", focalLengthMm: 480 },
    { id: "south", name: "South telescope", kind: "tracked-telescope", operator: "Ben", focalLengthMm: 480 },
  ],
};

export interface LeadCalls {
  run(): Promise<any>;
  log(): Promise<LoggedEvent[]>;
  link(rigId: string): Promise<{ url: string; token: string }>;
  order(order: Record<string, unknown>): Promise<void>;
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

/** `place`: where else than in the plan; towards latitude 24.45° totality gets shorter still. */
export async function planSite(hub: HubProcess, place: { latDeg?: number } = {}): Promise<void> {
  const auth = { Authorization: `Bearer ${await hub.leadToken()}` };
  const plan = { ...PLAN, site: { ...PLAN.site, ...place } };
  await hub.call("PUT", "/api/plan", plan, { ...auth, "If-Match": '"plan-0"' });
}

export function leadCalls(hub: HubProcess): LeadCalls {
  const asLead = async (method: string, path: string, body?: unknown) =>
    hub.call(method, path, body, { Authorization: `Bearer ${await hub.leadToken()}` });
  let orders = 0;
  return {
    run: () => asLead("GET", "/api/run"),
    log: async () => (await asLead("GET", "/api/log.json")).events,
    async link(rigId) {
      const { url, token } = await asLead("GET", `/api/rigs/${rigId}/link`);
      // Whatever address the hub gives to phones, this test reaches it by loopback.
      return { url: `${hub.url}${new URL(url).pathname}${new URL(url).hash}`, token };
    },
    async order(order) {
      orders++;
      await asLead("POST", "/api/orders", { id: `test-${orders}`, order });
    },
  };
}
