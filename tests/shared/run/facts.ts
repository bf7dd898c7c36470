/** Arbitrary facts of three devices at three rigs, for the property tests of shared/run. */
import fc from "fast-check";
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import type { Fact } from "../../../shared/run/orders/commands.ts";

export interface SentFact {
  device: string;
  fact: Fact;
}

const anyReport: fc.Arbitrary<Report> = fc
  .record(
    {
      filter: fc.constantFrom("on", "off", "unknown", "capped"),
      looked: fc.boolean(),
      cardFreeGB: fc.integer({ min: 0, max: 3 }),
      batteryPct: fc.integer({ min: 0, max: 3 }),
      tracking: fc.boolean(),
      recording: fc.boolean(),
      sky: fc.constantFrom("clear", "thin", "broken", "overcast"),
      cueDone: fc.constantFrom("filter-off", "filter-on", "burst-before", "partial-before.2", "no-such-cue"),
      cueReopened: fc.constantFrom("filter-off", "burst-before"),
      help: fc.boolean(),
      sawTotality: fc.boolean(),
      checks: fc.dictionary(fc.constantFrom("focus", "level"), fc.boolean()),
    },
    { requiredKeys: [] },
  )
  .filter((report) => Object.keys(report).length > 0) as fc.Arbitrary<Report>;

/** `from` is an instant; observations fall into the second after it, so that many tie. */
export function anyFacts(from: number): fc.Arbitrary<SentFact[]> {
  return fc.array(
    fc.record({
      device: fc.constantFrom("phone-a", "phone-b", "http:west"),
      fact: fc.record({
        v: fc.constant(1 as const),
        rigId: fc.constantFrom("west", "eye", "wide", "gone"),
        runId: fc.constant(null),
        // A program over HTTP has no number of its own: 0 every time, so that stamps tie.
        deviceSeq: fc.constantFrom(0, 0, 1, 2, 3),
        observedUtcMs: fc.integer({ min: 0, max: 6 }).map((step) => from + step * 100),
        boundMs: fc.constant(5),
        report: anyReport,
      }),
    }),
    { minLength: 1, maxLength: 14 },
  );
}
