/** A rig that behaves while others do not: one report at a time, timed, none to be lost. */
import { setTimeout as pause } from "node:timers/promises";
import type { HubProcess } from "./hub-process.ts";

const EVERY_MS = 150;

export class GoodRig {
  readonly sent: string[] = [];
  failed = 0;
  longestMs = 0;
  private working = false;
  private worker: Promise<void> = Promise.resolve();
  private token = "";

  constructor(
    private readonly hub: HubProcess,
    private readonly rigId: string,
  ) {}

  async begin(): Promise<void> {
    this.token = await this.hub.rigToken(this.rigId);
    this.working = true;
    this.worker = this.work();
  }

  async stop(): Promise<void> {
    this.working = false;
    await this.worker;
  }

  private async work(): Promise<void> {
    for (let n = 0; this.working; n++) {
      const id = `good-${n}`;
      const report = { id, atUtcMs: Date.now(), batteryPct: n % 100 };
      const startedMs = performance.now();
      const status = await this.hub
        .call("POST", `/api/rigs/${this.rigId}/reports`, report, this.token)
        .then((answer) => answer.status)
        .catch(() => 0);
      this.longestMs = Math.max(this.longestMs, performance.now() - startedMs);
      if (status === 200) this.sent.push(id);
      else this.failed++;
      await pause(EVERY_MS);
    }
  }

  /** Of what it was told is logged, what is not; read by the hub's own interface. */
  async lost(): Promise<string[]> {
    const { events } = (await this.hub.asLead("GET", "/api/log.json")).body;
    const logged = new Set((events as { commandId: string }[]).map((event) => event.commandId));
    return this.sent.filter((id) => !logged.has(id));
  }
}
