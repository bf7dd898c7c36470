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
    vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
    sent = [];
    feed = new EventFeed({
      toLeads: (events) => sent.push(`leads ${seqs(events)}`),
      toRigs: (events) => sent.push(`rigs ${seqs(events)}`),
    });
  });
  afterEach(() => {
    feed.close();
    vi.useRealTimers();
  });

  it("tells leads of reports in the same turn, and rigs of several together a little later", async () => {
    feed.add([event(1, "rigReported")]);
    feed.add([event(2, "rigReported")]);
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

  it.each(["called", "coverOrdered", "coverReleased", "planSaved", "contactShifted", "messageSent"] as const)(
    "tells everybody at once of %s, with what was waiting before it",
    async (type) => {
      feed.add([event(1, "rigReported")]);
      feed.add([event(2, type)]);
      expect(sent).toEqual(["leads 1 2", "rigs 1 2"]);
      await nextTurn();
      vi.advanceTimersByTime(10_000);
      expect(sent).toHaveLength(2);
    },
  );
});
