/** What instruments say of a run, in its review (SPEC R19, R20). */
import { expect, test } from "vitest";
import { RunReviewer } from "../../../shared/review/review.ts";
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../run/site-world.ts";

const S = 1000;

function reviewed(world: SiteWorld, now: number) {
  const reviewer = new RunReviewer(world.state.realRunId);
  for (const event of world.log) reviewer.take(event);
  const review = reviewer.review(utcMs(now));
  if (!review) throw new Error("no such run");
  return review;
}

test("frames are counted within the run, and a burst without any in its window is named", () => {
  const world = SiteWorld.planned();
  const { c1, c2, c3 } = world.predicted;
  const instrument = (at: number, report: Report) =>
    void world.report("west", { instrument: "folder", ...report }, { at, device: "agent" });
  const bursts = world.rig("west", c2).cues.filter(({ cue }) => cue.action === "burst");
  const [first, second] = bursts;
  if (!first || !second) throw new Error("the default list has two bursts");
  instrument(c1, { frames: 40, lastFrameUtcMs: c1 - 60 * S });
  instrument(first.dueMs + 3 * S, { frames: 70, lastFrameUtcMs: first.dueMs + 2 * S });
  instrument(c3 + 200 * S, { frames: 90, lastFrameUtcMs: c3 + 199 * S });
  const { frames, played } = reviewed(world, c3 + 201 * S);
  expect(frames).toMatchObject([{ rigId: "west", count: 50 }]);
  const without = frames[0]?.without.map(({ cueId }) => cueId) ?? [];
  expect(without).toContain(second.id);
  expect(without).not.toContain(first.id);
  // An instrument is no person, and no simulated operator either.
  expect(played).toEqual([]);
});

test("a filter's history takes an instrument's off and nothing else of it (S9)", () => {
  const world = SiteWorld.planned();
  const { c1 } = world.predicted;
  const say = (s: number, report: Report, device: string) =>
    void world.report("west", report, { at: c1 + s * S, device });
  say(0, { filter: "on", looked: true }, "phone");
  say(10, { instrument: "wheel", filter: "off" }, "agent");
  say(20, { instrument: "wheel", filter: "unknown" }, "agent");
  say(40, { filter: "on", looked: true }, "phone");
  const { filters } = reviewed(world, c1 + 60 * S);
  expect(filters.find(({ rigId }) => rigId === "west")).toMatchObject({
    openS: 30,
    open: [{ fromRunMs: c1 + 10 * S, untilRunMs: c1 + 40 * S, closed: true }],
  });
});
