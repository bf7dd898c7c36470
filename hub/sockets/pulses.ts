/**
 * Pulses: what a device says of itself every two seconds. Presence is told to leads and never
 * logged; the device's own clock is a witness of the hub's (hub/clock/witness-box.ts), and a sample
 * of it is kept.
 */
import { PulseSchema } from "../../shared/protocol/messages.ts";
import { parse } from "../../shared/run/orders/commands.ts";
import type { HubClock } from "../clock/hub-clock.ts";
import type { EventLog } from "../log/event-log.ts";
import type { Keys } from "../site/keys.ts";
import type { PresenceBook } from "../site/presence.ts";
import { type HubSocket, hear, type LeadClient, type RigClient } from "./client.ts";
import { isOnHubsMachine, repeatsOwnClock } from "./hubs-own-pages.ts";

/** Pulses of one socket that are heard in a second: a page sends one every 2 s. */
const MOST_PULSES_PER_S = 5;

interface PulsePorts {
  keys: Keys;
  clock: HubClock;
  log: EventLog;
  presence: PresenceBook;
  presenceChanged: () => void;
  onBug: (error: unknown) => void;
}

export function takePulses(socket: HubSocket, client: LeadClient | RigClient, ports: PulsePorts): void {
  const { keys, clock, log, presence } = ports;
  const { deviceId, label } = client.hello;
  // Asked now: once a connection has ended it has no addresses any more.
  const onHub = isOnHubsMachine(socket);
  let [heard, since] = [0, performance.now()];
  hear(socket, "pulse", ports.onBug, (message) => {
    const at = performance.now();
    if (at - since > 1000) [heard, since] = [0, at];
    if (++heard > MOST_PULSES_PER_S) return;
    if (client.role === "lead") keys.touch(client.sessionHash);
    const parsed = parse(PulseSchema, message);
    if (!parsed.ok) return;
    const { ownClockOffsetMs, boundMs } = parsed.value;
    presence.pulse(socket.id, parsed.value);
    if (ownClockOffsetMs !== null && boundMs !== null) {
      const own = onHub ? clock.ownClockOffsetMs() : null;
      if (own === null || !repeatsOwnClock(client.role, ownClockOffsetMs, boundMs, own))
        clock.addWitness(deviceId, ownClockOffsetMs, boundMs, label);
      log.addClockSamples([
        { utcMs: clock.now(), deviceId, offsetMs: ownClockOffsetMs, boundMs, delayMs: 0 },
      ]);
    }
    ports.presenceChanged();
  });
}
