/** Clock probes: the hub's time on the way in and on the way out, and what it doubts of it. */
import { ProbeSchema } from "../../shared/protocol/messages.ts";
import { parse } from "../../shared/run/orders/commands.ts";
import type { HubClock } from "../clock/hub-clock.ts";
import type { AlertDesk } from "../site/alert-desk.ts";
import { type HubSocket, hearQuestion } from "./client.ts";

interface ProbePorts {
  clock: HubClock;
  alerts: AlertDesk;
  onBug: (error: unknown) => void;
}

export function answerProbes(socket: HubSocket, { clock, alerts, onBug }: ProbePorts): void {
  hearQuestion(socket, "probe", onBug, (message, answer) => {
    const before = clock.stamp();
    if (!parse(ProbeSchema, message).ok) return;
    const { disputed, slept, apartMs = 0 } = alerts.clockHealth();
    const { utcMs, boundMs, course } = clock.stamp();
    answer({ t2: before.utcMs, t3: utcMs, hubBoundMs: boundMs, course, disputed, slept, apartMs });
  });
}
