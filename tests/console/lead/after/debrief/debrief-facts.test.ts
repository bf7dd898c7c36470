/** The three sentences of a debrief say what the log holds, no more. */
import { describe, expect, it } from "vitest";
import { debriefFacts } from "../../../../../console/lead/after/debrief/debrief-facts.ts";
import type { Review, ReviewedCue } from "../../../../../shared/review/review.ts";
import type { Score } from "../../../../../shared/review/scores.ts";

const cue = (score: Score): ReviewedCue => ({
  rigId: "a",
  operator: "",
  cueId: score,
  action: "filter-on",
  dueRunMs: 0,
  fromRunMs: 0,
  toRunMs: 0,
  doneRunMs: null,
  score,
  why: null,
  inPlaceBy: null,
});
function review(scores: Score[], closed: (number | null)[]): Review {
  return {
    cues: scores.map(cue),
    filters: closed.map((closedAfterC3S, i) => ({
      rigId: `r${i}`,
      open: [{ fromRunMs: 0, untilRunMs: 1, closed: closedAfterC3S !== null }],
      openS: 1,
      closedAfterC3S,
    })),
    rigs: closed.map((_, i) => ({ id: `r${i}`, name: `Rig ${i}`, operator: "" })),
    alerts: { raised: 3, perTenMinutes: 3, mostInTenMinutes: 2, byCause: {}, longest: [] },
    calls: [],
  } as never;
}

describe("a debrief", () => {
  it("counts scores", () => {
    expect(debriefFacts(review(["late", "on time", "on time", "missed"], [])).cues).toEqual({
      all: 4,
      early: 0,
      "on time": 2,
      late: 1,
      missed: 1,
    });
  });

  it("names the filter that was open longest after C3, unless all were closed in time (S4: 15 s)", () => {
    expect(debriefFacts(review([], [3, 11.2])).filters).toEqual({ kind: "all closed", withinS: 12 });
    expect(debriefFacts(review([], [3, 41.4])).filters).toEqual({
      kind: "open longest",
      rig: "Rig 1",
      s: 41,
    });
    expect(debriefFacts(review([], [-2])).filters).toEqual({ kind: "all closed", withinS: 0 });
    expect(debriefFacts(review([], [])).filters).toEqual({ kind: "none came off" });
  });

  it("says first of all what is still off", () => {
    expect(debriefFacts(review([], [3, null])).filters).toEqual({ kind: "still off", rigs: ["Rig 1"] });
  });
});
