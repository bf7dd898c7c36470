/**
 * The safety rules against random people (SAFETY SPEC S1–S15): hub, phones and board at once, in
 * accelerated time, judged by an oracle of its own (oracle.ts). `npm run model` runs many more.
 * The truth of each world is exact by construction; its sky is the solver's, which is tested
 * against published tables elsewhere.
 */
import { describe, expect, test } from "vitest";
import { generate } from "./generate.ts";
import { REGRESSIONS } from "./regressions.ts";
import { addMet, NOTHING_MET, runSequence } from "./run-model.ts";

const SEQUENCES = 600;
const CHUNK = 50;

describe("random people", () => {
  for (let from = 1; from <= SEQUENCES; from += CHUNK)
    test(`break no safety rule in the sequences ${from} to ${from + CHUNK - 1}`, () => {
      const broken: string[] = [];
      let met = NOTHING_MET;
      for (let seed = from; seed < from + CHUNK; seed++) {
        const outcome = runSequence(generate(seed));
        met = addMet(met, outcome.met);
        for (const { code, detail, atS } of outcome.findings.values())
          broken.push(`seed ${seed} at ${atS} s: ${code} (${detail})`);
      }
      expect(broken.slice(0, 10)).toEqual([]);
      // They did open filters, call totality, take glasses off and were told to close again.
      for (const [what, times] of Object.entries(met)) expect(times, what).toBeGreaterThan(3);
    });
});

describe("sequences that broke a rule once do so no more", () => {
  for (const { name, world, steps } of REGRESSIONS)
    test(name, () => {
      const { findings } = runSequence({ world, steps });
      expect(
        [...findings.values()].map(({ code, detail, atS }) => `${code} at ${atS} s (${detail})`),
      ).toEqual([]);
    });
});
