/** What a client lacks when it comes in, or says so: the events since, or the whole state. */
import { ResyncSchema } from "../../shared/protocol/messages.ts";
import type { SiteEvent } from "../../shared/run/events.ts";
import { parse } from "../../shared/run/orders/commands.ts";
import { EVOLVE_VERSION } from "../../shared/run/state.ts";
import { upcast } from "../../shared/run/upcasts.ts";
import type { EventLog } from "../log/event-log.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import { type HubSocket, hear, type LeadClient, type RigClient } from "./client.ts";
import { lightened } from "./lightened.ts";
import type { LinkLimits } from "./link-limits.ts";

/** Further behind than this, a client gets the whole state instead of the events. */
const MOST_EVENTS_BEHIND = 500;

interface CatchUpPorts {
  keeper: SiteKeeper;
  log: EventLog;
  limits: LinkLimits;
  onBug: (error: unknown) => void;
}

/** For those who may read: sends what has happened since they were last here, and again when asked. */
export function catchUp(socket: HubSocket, client: LeadClient | RigClient, ports: CatchUpPorts): void {
  const { last, evolveVersion } = client.hello;
  const usable = last && last.epoch === ports.log.epoch && evolveVersion === EVOLVE_VERSION;
  sendSince(socket, usable ? last.seq : -1, ports);
  hear(socket, "resync", ports.onBug, (message) => {
    const rigIds = client.role === "rig" ? client.rigIds : [];
    const waitsMs = rigIds.map((id) => ports.limits.entry(id, false));
    if (waitsMs.some((waitMs) => waitMs > 0)) return;
    const parsed = parse(ResyncSchema, message);
    sendSince(socket, parsed.ok ? parsed.value.seq : -1, ports);
  });
}

function sendSince(socket: HubSocket, seq: number, { keeper, log }: CatchUpPorts): void {
  const { state } = keeper;
  if (seq < 0 || seq > state.seq || state.seq - seq > MOST_EVENTS_BEHIND) {
    socket.emit("state", { seq: state.seq, state });
    return;
  }
  const events: SiteEvent[] = [];
  for (const event of log.read({ afterSeq: seq, limit: state.seq - seq }))
    events.push(lightened(upcast(event)));
  socket.emit("events", events);
}
