/** The board's snapshot is computed once for every change, and each way out gets the newest. */
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { BoardFeed, concernsBoards, type PublishedBoard } from "../../../hub/feeds/board-feed.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import type { EventType, SiteEvent } from "../../../shared/run/events.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";

const NOW = utcMs(Date.UTC(2027, 6, 25));
const event = (type: EventType, payload: unknown = {}) => ({ seq: 1, type, payload }) as SiteEvent;

describe("the feed of boards", () => {
  let revision: number;
  let computed: number;
  let bugs: unknown[];
  let feed: BoardFeed;
  const plain = boardSnapshot(SiteWorld.planned().state, NOW, GOOD_CLOCK);
  const revisions = (boards: readonly PublishedBoard[]) => boards.map(({ snapshot }) => snapshot.revision);
  const settle = async () => {
    for (let turn = 0; turn < 10; turn++) await Promise.resolve();
  };
  beforeEach(() => {
    vi.useFakeTimers({ toFake: ["setInterval", "clearInterval", "performance"] });
    [revision, computed, bugs] = [1, 0, []];
    feed = new BoardFeed({
      compute() {
        computed++;
        if (revision < 0) throw new Error("a bug");
        return { ...plain, revision };
      },
      onBug: (error) => bugs.push(error),
    });
  });
  afterEach(() => {
    feed.close();
    vi.useRealTimers();
  });

  it("computes once for a change, however many read it", () => {
    const first: PublishedBoard[] = [];
    const second: PublishedBoard[] = [];
    feed.subscribe((board) => void first.push(board));
    feed.subscribe((board) => void second.push(board));
    computed = 0;
    revision = 2;
    feed.note([event("called")]);
    expect(computed).toBe(1);
    for (const board of [feed.newest(), first[1], second[1]]) expect(board).toBe(first[1]);
    expect(computed).toBe(1);
    expect([revisions(first), revisions(second)]).toEqual([
      [1, 2],
      [1, 2],
    ]);
  });

  it("gives nothing where nothing changed, and another tag where something did", () => {
    const had: PublishedBoard[] = [];
    feed.subscribe((board) => void had.push(board));
    feed.note([event("called")]);
    vi.advanceTimersByTime(20_000);
    expect(had).toHaveLength(1);
    revision = 2;
    vi.advanceTimersByTime(5000);
    expect(revisions(had)).toEqual([1, 2]);
    expect(had[0]?.etag).toMatch(/^"[\w-]{22}"$/);
    expect(had[1]?.etag).not.toBe(had[0]?.etag);
    expect(JSON.parse(had[1]?.text ?? "")).toEqual(had[1]?.snapshot);
  });

  it("gives a slow reader one at a time, and then only the newest", async () => {
    const had: PublishedBoard[] = [];
    const done: (() => void)[] = [];
    feed.subscribe((board) => {
      had.push(board);
      return new Promise((resolve) => done.push(resolve));
    });
    for (revision = 2; revision < 6; revision++) feed.look();
    await settle();
    expect(revisions(had)).toEqual([1]);
    done[0]?.();
    await settle();
    expect(revisions(had)).toEqual([1, 5]);
    done[1]?.();
    await settle();
    expect(had).toHaveLength(2);
  });

  it("gives a reader that failed the newest again, and lets nobody else wait", async () => {
    let reachable = false;
    const tried: PublishedBoard[] = [];
    const other: PublishedBoard[] = [];
    feed.subscribe(async (board) => {
      tried.push(board);
      if (!reachable) throw new Error("the broker is away");
    });
    feed.subscribe((board) => void other.push(board));
    await settle();
    expect(bugs).toHaveLength(1);
    revision = 2;
    feed.look();
    await settle();
    reachable = true;
    vi.advanceTimersByTime(5000);
    await settle();
    vi.advanceTimersByTime(5000);
    expect([revisions(tried), revisions(other)]).toEqual([
      [1, 2, 2],
      [1, 2],
    ]);
  });

  it("gives who asks nothing older than a second, and computes no oftener for them", () => {
    feed.newest();
    feed.newest();
    expect(computed).toBe(1);
    revision = 2;
    vi.advanceTimersByTime(1100);
    expect(feed.newest().snapshot.revision).toBe(2);
  });

  it("tells a bug and goes on with the next look", () => {
    const had: PublishedBoard[] = [];
    feed.subscribe((board) => void had.push(board));
    revision = -1;
    feed.look();
    expect(bugs).toHaveLength(1);
    revision = 3;
    feed.look();
    expect(revisions(had)).toEqual([1, 3]);
  });

  it("gives nothing to who has left", () => {
    const had: PublishedBoard[] = [];
    const leave = feed.subscribe((board) => void had.push(board));
    leave();
    revision = 2;
    feed.look();
    expect(had).toHaveLength(1);
  });
});

describe("boards", () => {
  it("are concerned by what may change what they show, not by every battery", () => {
    expect(concernsBoards([event("rigReported", { batteryPct: 5 })])).toBe(false);
    expect(concernsBoards([event("alertRaised")])).toBe(false);
    expect(concernsBoards([event("rigReported", { sawTotality: true })])).toBe(true);
    for (const type of ["called", "coverOrdered", "sitePlanned", "practiceStarted", "practiceEnded"] as const)
      expect(concernsBoards([event(type)])).toBe(true);
  });
});
