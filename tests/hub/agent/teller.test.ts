/** When what instruments say goes to the hub. */
import { describe, expect, test } from "vitest";
import { Teller } from "../../../hub/agent/teller.ts";

const MIN = 60_000;

describe("what instruments say", () => {
  test("goes at once when it is a word, and waits for its like when it is a figure", () => {
    const teller = new Teller();
    teller.hear("folder", { frames: 1, card: "in" }, 0);
    expect(teller.due(0, "near", "real")).toEqual([{ instrument: "folder", frames: 1, card: "in" }]);
    for (let frame = 2; frame <= 20; frame++)
      teller.hear("folder", { frames: frame, card: "in" }, frame * 50);
    expect(teller.due(999, "near", "real")).toEqual([]);
    expect(teller.due(1000, "near", "real")).toEqual([{ instrument: "folder", frames: 20 }]);
    expect(teller.due(2000, "near", "real")).toEqual([]);
    teller.hear("folder", { frames: 21 }, 2000);
    expect(teller.due(5999, "linked", "real")).toEqual([]);
    expect(teller.due(6000, "linked", "real")).toHaveLength(1);
    teller.hear("folder", { frames: 22 }, 6000);
    // Without the hub the newest figure says all: it does not pile up.
    expect(teller.due(65_999, "alone", "real")).toEqual([]);
    teller.hear("folder", { card: "gone" }, 66_000);
    expect(teller.due(66_000, "alone", "real")).toEqual([{ instrument: "folder", frames: 22, card: "gone" }]);
  });

  test("is said anew in another run, and every ten minutes while it is read", () => {
    const teller = new Teller();
    teller.hear("mount", { tracking: true, mount: "tracking" }, 0);
    const all = [{ instrument: "mount", tracking: true, mount: "tracking" }];
    expect(teller.due(0, "linked", "real")).toEqual(all);
    expect(teller.due(1000, "linked", "practice-1")).toEqual(all);
    expect(teller.due(2000, "linked", "real")).toEqual(all);
    teller.hear("mount", { tracking: true, mount: "tracking" }, 9 * MIN);
    expect(teller.due(9 * MIN, "linked", "real")).toEqual([]);
    expect(teller.due(11 * MIN, "linked", "real")).toEqual(all);
    // Nobody reads it any more.
    expect(teller.due(30 * MIN, "linked", "real")).toEqual([]);
  });

  test("a card that begins to fill, or ends, does not wait for the other figures", () => {
    const teller = new Teller();
    teller.hear("folder", { cardFreeGB: 6, fillsGBPerMin: 0 }, 0);
    expect(teller.due(0, "linked", "real")).toHaveLength(1);
    teller.hear("folder", { cardFreeGB: 5.9 }, 500);
    expect(teller.due(500, "linked", "real")).toEqual([]);
    teller.hear("folder", { fillsGBPerMin: 0.7 }, 1000);
    expect(teller.due(1000, "linked", "real")).toEqual([
      { instrument: "folder", cardFreeGB: 5.9, fillsGBPerMin: 0.7 },
    ]);
    teller.hear("folder", { fillsGBPerMin: 0.8 }, 1500);
    expect(teller.due(1500, "linked", "real")).toEqual([]);
    teller.hear("folder", { fillsGBPerMin: 0 }, 2000);
    expect(teller.due(2000, "linked", "real")).toHaveLength(1);
  });

  test("of a filter is said once a run: a look that came since is not outdone by the same word again (S9)", () => {
    const teller = new Teller();
    const filters = (mono: number, run: string) =>
      teller.due(mono, "linked", run).flatMap(({ filter }) => filter ?? []);
    teller.hear("wheel", { wheelSlot: "Open", filter: "off" }, 0);
    expect(filters(0, "real")).toEqual(["off"]);
    teller.hear("wheel", { wheelSlot: "Open", filter: "off" }, 9 * MIN);
    expect(filters(11 * MIN, "real")).toEqual([]);
    expect(filters(12 * MIN, "practice-1")).toEqual(["off"]);
    expect(filters(13 * MIN, "real")).toEqual([]);
    teller.hear("wheel", { wheelSlot: "Red", filter: "unknown" }, 14 * MIN);
    expect(filters(14 * MIN, "real")).toEqual(["unknown"]);
    teller.hear("wheel", { wheelSlot: "Open", filter: "off" }, 15 * MIN);
    expect(filters(15 * MIN, "real")).toEqual(["off"]);
  });
});

// S9: whoever looked saw one wheel stand at its empty slot; that another one opens is news.
test("a second wheel that opens is said, though the first stands open and the word of both stays the same", () => {
  const teller = new Teller();
  const said = (mono: number) => teller.due(mono, "linked", "real").map(({ filter }) => filter);
  teller.hear("wheel", { wheelSlot: "Open", filter: "off" }, 0, "inner");
  teller.hear("wheel", { wheelSlot: "Solar", filter: "unknown" }, 0, "outer");
  expect(said(0)).toEqual(["off"]);
  teller.hear("wheel", { wheelSlot: "Open", filter: "off" }, 1000, "outer");
  expect(said(1000)).toEqual(["off"]);
  teller.hear("wheel", { wheelSlot: "Open", filter: "off" }, 2000, "outer");
  expect(said(2000)).toEqual([]);
  // One that was away for a moment, and stands where it stood, is no news.
  teller.forget("outer", 3000);
  teller.hear("wheel", { wheelSlot: "Open", filter: "off" }, 4000, "outer");
  expect(said(4000).filter((word) => word !== undefined)).toEqual([]);
  teller.hear("wheel", { wheelSlot: "Solar", filter: "unknown" }, 5000, "outer");
  teller.hear("wheel", { wheelSlot: "Open", filter: "off" }, 6000, "outer");
  expect(said(6000)).toContain("off");
});
