/** Practice runs side by side say what the runs hold, of people and not of who played them. */
import { describe, expect, it } from "vitest";
import { alertRate } from "../../../shared/review/alert-rate.ts";
import { compareRuns } from "../../../shared/review/compare.ts";
import { PracticesReviewer, type Review, type ReviewedCue } from "../../../shared/review/review.ts";
import type { Score } from "../../../shared/review/scores.ts";
import { playedDeviceId } from "../../../shared/run/facts/played.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../run/site-world.ts";

type Did = [cueId: string, score: Score, lateS: number | null];
const cue = ([cueId, score, lateS]: Did, operator: string): ReviewedCue => ({
  rigId: "west",
  operator,
  cueId,
  action: "exposure",
  dueRunMs: 100_000,
  fromRunMs: 95_000,
  toRunMs: 110_000,
  doneRunMs: lateS === null ? null : 100_000 + lateS * 1000,
  score,
  why: lateS === null ? "nothing said" : null,
  inPlaceBy: null,
});
let runs = 0;
function review(did: Did[], more: Partial<Review> & { operator?: string; rate?: number } = {}): Review {
  const { operator = "Ada", rate = 1, ...rest } = more;
  const startedUtcMs = ++runs;
  return {
    runId: `practice-${runs}`,
    cues: did.map((one) => cue(one, operator)),
    filters: [
      { rigId: "west", open: [{ fromRunMs: 0, untilRunMs: 1, closed: true }], openS: 9, closedAfterC3S: 7 },
    ],
    rigs: [{ id: "west", name: "West", operator }],
    practice: { startedUtcMs, anchor: "C2", offsetS: -60, rate, part: 1, repeats: 1 },
    played: [],
    ...rest,
  } as never;
}
const PLAN = [
  {
    id: "west",
    cues: [
      { id: "burst", handsS: 5, action: "burst" },
      { id: "focus", handsS: 0 },
    ],
  },
] as never;

describe("practice runs side by side", () => {
  it("are better or worse by what was on time, else by how late it was done", () => {
    const trend = (...did: Did[][]) =>
      compareRuns(
        did.map((one) => review(one)),
        [],
      ).rigs[0]?.trend;
    const good: Did[] = [["burst", "on time", 3]];
    const poor: Did[] = [["burst", "late", 14]];
    expect(trend(poor)).toBeNull();
    expect(trend(poor, poor, good)).toBe("better");
    expect(trend(good, good, poor)).toBe("worse");
    expect(trend(good, [["burst", "on time", 3.4]])).toBe("same");
    expect(trend(good, [["burst", "on time", 1.5]])).toBe("better");
    expect(trend(good, [["burst", "missed", null]])).toBe("worse");
  });

  it("name what is still late or missed in half of the newest runs, and not what it was long ago", () => {
    const late: Did[] = [
      ["burst", "late", 20],
      ["focus", "on time", 1],
    ];
    const well: Did[] = [
      ["burst", "on time", 2],
      ["focus", "missed", null],
    ];
    const { rigs } = compareRuns(
      [late, late, well, well, well, well].map((one) => review(one)),
      [],
    );
    expect(rigs[0]?.slow).toEqual([{ cueId: "focus", action: "exposure", late: 4, ofRuns: 5 }]);
  });

  it("offer the hands-on time that three runs at the real pace have, where it is another than planned", () => {
    const took = (s: number, more = {}) =>
      review(
        [
          ["burst.0", "late", s],
          ["burst.1", "late", s + 2],
        ],
        more,
      );
    const offered = (reviews: Review[]) => compareRuns(reviews, PLAN).rigs[0]?.hands;
    expect(offered([took(11), took(12)])).toEqual([]);
    expect(offered([took(11), took(12), took(13)])).toMatchObject([
      { cueId: "burst", plannedS: 5, measuredS: 13, ofRuns: 3 },
    ]);
    expect(offered([took(11), took(12), took(13, { rate: 4 })])).toEqual([]);
    expect(offered([took(11), took(12), took(13, { played: ["west"] })])).toEqual([]);
    expect(offered([took(4), took(4), took(5)])).toEqual([]);
  });

  it("tell two operators of one rig apart", () => {
    const { rigs } = compareRuns(
      [review([["burst", "late", 9]]), review([["burst", "on time", 1]], { operator: "Ben" })],
      [],
    );
    expect(rigs.map(({ operator, runs: of, trend }) => [operator, of.length, trend])).toEqual([
      ["Ada", 1, null],
      ["Ben", 1, null],
    ]);
  });

  it("say how long after C3 the last filter was on, unless one stayed open", () => {
    const closed = { open: [{ fromRunMs: 0, untilRunMs: 1, closed: true }], openS: 1 };
    const filters = (...after: (number | null)[]) =>
      after.map((closedAfterC3S, n) => ({
        ...(closedAfterC3S === null ? { ...closed, open: [{ ...closed.open[0], closed: false }] } : closed),
        rigId: `r${n}`,
        closedAfterC3S,
      })) as never;
    const all = (...after: (number | null)[]) =>
      compareRuns([review([["burst", "on time", 1]], { filters: filters(...after) })], []).runs[0]
        ?.allOnAfterC3S;
    expect(all(4, 11)).toBe(11);
    expect(all(4, null)).toBeNull();
    expect(all()).toBeNull();
  });
});

it("a cue whose time was over before the segment began is nobody's miss", () => {
  const at = Date.UTC(2027, 6, 25, 10);
  const world = SiteWorld.planned();
  // From a minute after C2 on: the filter would have come off 20 s before it.
  world.practise(at, 60);
  world.order({ type: "endPractice" }, at + 300_000);
  const reviewer = new PracticesReviewer();
  for (const event of world.log) reviewer.take(event);
  const [review] = reviewer.reviews(utcMs(at + 400_000));
  expect(review?.cues.some(({ cueId }) => cueId === "filter-off")).toBe(false);
});

it("says where somebody was needed, by rig and without advice", () => {
  const alert = (type: "alertRaised" | "alertCleared", s: number, rigId: string, priority = "caution") =>
    ({
      type,
      loggedUtcMs: s * 1000,
      payload: { id: `help:${rigId}`, cause: "help", priority, rigId },
    }) as never;
  const events = [
    alert("alertRaised", 10, "west"),
    alert("alertCleared", 15, "west"),
    alert("alertRaised", 20, "west"),
    alert("alertRaised", 30, "eye", "danger"),
    alert("alertRaised", 31, "wide", "advice"),
    alert("alertCleared", 50, "eye"),
  ];
  expect(alertRate(events, 29_000).byRig).toEqual([
    { rigId: "eye", raised: 1, stoodS: 20 },
    { rigId: "west", raised: 2, stoodS: 14 },
  ]);
});

it("all practices of a log are judged in one go through it, each by its own reports", () => {
  const S = 1000;
  const at = Date.UTC(2027, 6, 25, 10);
  const world = SiteWorld.planned();
  const first = world.practise(at, -40);
  world.report("west", { cueDone: "filter-off" }, { at: at + 21 * S });
  const second = world.practise(at + 100 * S, -40);
  world.report("west", { cueDone: "filter-off" }, { at: at + 135 * S, device: playedDeviceId("one") });
  world.order({ type: "endPractice" }, at + 145 * S);
  // A report of the first run that comes last.
  world.report("eye", { cueSkipped: "filter-off" }, { at: at + 30 * S, runId: first, arrives: at + 150 * S });
  const reviewer = new PracticesReviewer();
  for (const event of world.log) reviewer.take(event);
  const reviews = reviewer.reviews(utcMs(at + 200 * S));
  expect(reviews.map(({ runId, played }) => [runId, played])).toEqual([
    [first, []],
    [second, ["west"]],
  ]);
  const done = reviews.map(({ cues }) =>
    cues.find((one) => one.rigId === "west" && one.cueId === "filter-off"),
  );
  // Due 20 s before C2 (defaults), so 20 s after the start; done 1 s and 15 s later.
  expect(done.map((one) => ((one?.doneRunMs ?? 0) - (one?.dueRunMs ?? 0)) / 1000)).toEqual([1, 15]);
  const { rigs } = compareRuns(reviews, world.state.plan.rigs);
  expect(rigs.find(({ rigId }) => rigId === "west")?.runs.map(({ played }) => played)).toEqual([false, true]);
});
