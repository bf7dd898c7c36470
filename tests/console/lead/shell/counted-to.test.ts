/** What the lead's countdown runs to. The order of contacts is the field's own. */
import { describe, expect, it } from "vitest";
import { countedTo } from "../../../../console/lead/shell/counted-to.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import { runMs } from "../../../../shared/time/instants.ts";

const s = (seconds: number) => runMs(seconds * 1000);
const total = {
  c1: s(0),
  c2: s(4000),
  max: s(4100),
  c3: s(4200),
  filterC3: s(4200),
  c4: s(8000),
} as EffectiveContacts;
const partial = { ...total, c2: null, c3: null, filterC3: null };

describe("the countdown", () => {
  it.each([
    [-10, "c1", 0],
    [100, "c2", 4000],
    [4000, "sunReturns", 4200],
    [4150, "sunReturns", 4200],
    [4200, "sinceC3", 4200],
    [4259, "sinceC3", 4200],
    [4261, "c4", 8000],
  ])("at %i s it is about %s", (now, what, at) => {
    expect(countedTo(total, "total", s(now))).toEqual({ what, at: s(at) });
  });

  it("is to the prediction, where a shift puts C3 later (S5)", () => {
    const shifted = { ...total, c3: s(4290) } as EffectiveContacts;
    expect(countedTo(shifted, "total", s(4100))).toEqual({ what: "sunReturns", at: s(4200) });
    expect(countedTo(shifted, "total", s(4210))?.what).toBe("sinceC3");
  });

  it("never runs to the maximum of a totality or a ring, only to that of a partial eclipse", () => {
    for (let now = 3900; now < 4300; now++)
      for (const kind of ["total", "annular"] as const)
        expect(countedTo(total, kind, s(now))?.what).not.toBe("max");
    expect(countedTo(total, "annular", s(4100))?.what).toBe("ringEnds");
    expect(countedTo(partial, "partial", s(100))).toEqual({ what: "max", at: s(4100) });
    expect(countedTo(partial, "partial", s(9000))).toBeNull();
  });
});
