/** The rate of alerts that a lead sees while a run goes on. */
import { describe, expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { LatelyRaised } from "../../../hub/site/lately-raised.ts";
import type { SiteKeeper } from "../../../hub/site/site-keeper.ts";
import { alertRate } from "../../../shared/review/alert-rate.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";

const MINUTE = 60_000;

describe("alerts of the last ten minutes", () => {
  it("are those that the debrief counts, and a hub that starts anew counts on", async () => {
    const log = new MemoryLog();
    let listener: (events: SiteEvent[]) => void = () => {};
    const keeper = {
      on: (_: string, heard: typeof listener) => {
        listener = heard;
      },
    } as unknown as SiteKeeper;
    let now = 0;
    const first = new LatelyRaised(log, keeper, () => now);
    const all: SiteEvent[] = [];
    const raise = async (atMs: number, type = "alertRaised", rigId = "west", cause = "card-low") => {
      const payload = { id: `${cause}:${rigId}`, cause, priority: "advice", rigId };
      const seq = log.lastSeq() + 1;
      const event = {
        seq,
        runId: "real",
        type,
        v: 1,
        actor: "hub",
        commandId: `c${seq}`,
        loggedUtcMs: atMs,
        observedUtcMs: atMs,
        payload,
      };
      all.push(event as never);
      await log.append({
        sender: "hub",
        commandId: `c${seq}`,
        bodyHash: "",
        answer: null,
        events: [event as never],
      });
      listener([event as never]);
      now = atMs;
    };
    for (const minute of [0, 1, 5, 8]) await raise(minute * MINUTE);
    // The same at more rigs at once is the same line; two who call are two.
    for (const rigId of ["south", "east"]) await raise(8 * MINUTE + 400, "alertRaised", rigId);
    expect(first.count()).toBe(4);
    for (const rigId of ["south", "east"]) await raise(8.5 * MINUTE, "alertRaised", rigId, "help");
    await raise(9 * MINUTE, "alertCleared");
    expect(first.count()).toBe(6);
    expect(alertRate(all, now)).toMatchObject({ mostInTenMinutes: 6, raised: 8 });
    now = 10.5 * MINUTE;
    expect(first.count()).toBe(5);
    expect(new LatelyRaised(log, keeper, () => now).count()).toBe(5);
    now = 19 * MINUTE;
    expect(first.count()).toBe(0);
  });
});
