/** Practice runs with people, faults and networks drawn from seeds: alerts and scores against what was put in. */
import { expect, it } from "vitest";
import { play } from "./practice-runs/play.ts";

it("every danger is found in time, no alert is without a cause, scores are those that were put in", () => {
  const played = ["1", "2", "3", "4", "5", "6"].map(play);
  expect(played.flatMap(({ findings }) => findings)).toEqual([]);
  // It was no empty play.
  const sum = (of: "dangers" | "alerts" | "scores") => played.reduce((all, one) => all + one[of], 0);
  expect(sum("dangers")).toBeGreaterThan(5);
  expect(sum("alerts")).toBeGreaterThan(30);
  expect(sum("scores")).toBeGreaterThan(30);
});
