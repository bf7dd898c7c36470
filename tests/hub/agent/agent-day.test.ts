/** A small part of the bench's simulated day (scripts/bench/agent-day.ts): nothing grows, no frame is missed. */
import { expect, test } from "vitest";
import { liveAgentDay } from "../../../scripts/bench/agent-day.ts";

test("twenty frames a second into a card that is emptied again and again, under old names, are all counted, and nothing grows", async () => {
  const { written, counted, sizesAsked, heapMB, reports } = await liveAgentDay(900, 9);
  expect(written).toBeGreaterThan(15_000);
  expect(counted).toBe(written);
  // Twice the same size, and nothing of what is known.
  expect(sizesAsked).toBe(2 * written);
  // Figures wait for each other.
  expect(reports).toBeLessThan(500);
  // 16,000 names kept twice would be 3 MB and more.
  const [begin, end] = [Math.max(...heapMB.slice(1, 4)), Math.min(...heapMB.slice(-3))];
  expect(end - begin).toBeLessThan(1);
});
