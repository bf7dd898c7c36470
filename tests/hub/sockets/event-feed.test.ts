/** What goes to whom, when, and in which order. */
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { EventFeed } from "../../../hub/sockets/event-feed.ts";
import type { EventType, SiteEvent } from "../../../shared/run/events.ts";

const event = (seq: number, type: EventType, payload: unknown = {}) => ({ seq, type, payload }) as SiteEvent;
const nextTurn = () => new Promise<void>((resolve) => process.nextTick(() => process.nextTick(resolve)));

describe("the feed of events", () => {
  let sent: string[];
  let feed: EventFeed;
  const seqs = (events: readonly SiteEvent[]) => events.map(({ seq }) => seq).join(" ");
  beforeEach(() => {
    vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout", "performance"] });
    sent = [];
    feed = new EventFeed({
      toLeads: (events) => sent.push(`leads ${seqs(events)}`),
      toRigs: (events) => sent.push(`rigs ${seqs(events)}`),
      caughtUp: () => sent.push("caught up"),
    });
  });
  afterEach(() => {
    feed.close();
    vi.useRealTimers();
  });

  it("tells leads of reports in the same turn, and rigs of several together a little later", async () => {
    feed.add([event(1, "rigReported", { filter: "off" })]);
    feed.add([event(2, "rigReported", { cueDone: "filter-off" })]);
    await nextTurn();
    expect(sent).toEqual(["leads 1 2"]);
    vi.advanceTimersByTime(100);
    feed.add([event(3, "alertRaised")]);
    await nextTurn();
    vi.advanceTimersByTime(100);
    expect(sent).toEqual(["leads 1 2", "leads 3", "rigs 1 2 3"]);
    vi.advanceTimersByTime(10_000);
    expect(sent).toHaveLength(3);
  });

  it("lets what phones at most show wait for a second, but nothing that they go by", async () => {
    feed.add([event(1, "rigReported", { rigId: "west", batteryPct: 70, cardFreeGB: 30, flags: [] })]);
    await nextTurn();
    vi.advanceTimersByTime(900);
    feed.add([event(2, "deviceJoined")]);
    await nextTurn();
    expect(sent).toEqual(["leads 1", "leads 2"]);
    vi.advanceTimersByTime(100);
    expect(sent.at(-1)).toBe("rigs 1 2");
    feed.add([event(3, "rigReported", { batteryPct: 69 })]);
    vi.advanceTimersByTime(300);
    for (const [field, seq] of [
      ["filter", 4],
      ["cueSkipped", 6],
      ["help", 8],
      ["sky", 10],
      ["checks", 12],
      ["practiceSafe", 14],
    ] as const) {
      feed.add([event(seq, "rigReported", { batteryPct: 68, [field]: "a word" })]);
      vi.advanceTimersByTime(199);
      feed.add([event(seq + 1, "alertRaised")]);
      vi.advanceTimersByTime(1);
      expect(sent.at(-1), field).toBe(`rigs ${seq === 4 ? "3 " : ""}${seq} ${seq + 1}`);
    }
  });

  it("lets instruments wait as long, but not their word on a filter", () => {
    feed.add([event(1, "rigReported", { instrument: "folder", frames: 12, framesPerMin: 3 })]);
    vi.advanceTimersByTime(500);
    feed.add([event(2, "rigReported", { instrument: "mount", mount: "tracking", tracking: true })]);
    vi.advanceTimersByTime(499);
    expect(sent.filter((told) => told.startsWith("rigs"))).toEqual([]);
    vi.advanceTimersByTime(1);
    expect(sent.at(-1)).toBe("rigs 1 2");
    feed.add([event(3, "rigReported", { instrument: "wheel", wheelSlot: "open", filter: "off" })]);
    vi.advanceTimersByTime(200);
    expect(sent.at(-1)).toBe("rigs 3");
  });

  it.each([
    "called",
    "coverOrdered",
    "coverReleased",
    "rigPlanned",
    "contactShifted",
    "messageSent",
  ] as const)("tells everybody at once of %s, with what was waiting before it", async (type) => {
    feed.add([event(1, "rigReported")]);
    feed.add([event(2, type)]);
    expect(sent).toEqual(["leads 1 2", "rigs 1 2"]);
    await nextTurn();
    vi.advanceTimersByTime(10_000);
    expect(sent).toHaveLength(2);
  });

  it("sends what is long a piece a turn, in order, and what comes meanwhile after it", async () => {
    const turn = () => new Promise((resolve) => setImmediate(resolve));
    const long = (seq: number) => event(seq, "rigPlanned", { rig: "r".repeat(12_000) });
    feed.add([1, 2, 3, 4, 5].map(long));
    expect(sent).toEqual(["leads 1 2", "rigs 1 2"]);
    feed.add([event(6, "called")]);
    expect(feed.behind).toBe(true);
    await turn();
    expect(sent.slice(2)).toEqual(["leads 3 4", "rigs 3 4"]);
    await turn();
    expect(sent.slice(4)).toEqual(["leads 5 6", "rigs 5 6", "caught up"]);
    expect(feed.behind).toBe(false);
    // One that is longer than a piece goes by itself.
    feed.add([event(7, "rigPlanned", { rig: "r".repeat(40_000) }), event(8, "called")]);
    expect(sent.slice(7)).toEqual(["leads 7", "rigs 7"]);
  });
});
