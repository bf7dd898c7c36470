/** What forms read back from schemas. */
import * as v from "valibot";
import { describe, expect, it } from "vitest";
import { count, numberWithin, rangeOf, wholeWithin } from "../../../shared/fields/number.ts";

const says = (schema: v.GenericSchema, value: unknown): string => {
  const result = v.safeParse(schema, value);
  return result.success ? "" : result.issues[0].message;
};

describe("a number within bounds", () => {
  it("takes both ends and says which one is passed", () => {
    const schema = numberWithin(-5, 90, "°");
    expect([-5, 90].map((value) => says(schema, value))).toEqual(["", ""]);
    expect(says(schema, -5.1)).toBe("must be at least -5");
    expect(says(schema, 90.1)).toBe("must be at most 90");
    expect(says(schema, Number.POSITIVE_INFINITY)).toBe("must be a finite number");
    expect(says(schema, "7")).toBe("must be a number");
  });

  it("gives its range and unit back, whatever it is wrapped in", () => {
    const schema = numberWithin(1, 20_000, "mm");
    const range = { least: 1, most: 20_000, unit: "mm" };
    expect(rangeOf(schema)).toEqual(range);
    expect(rangeOf(v.optional(v.nullable(schema), null))).toEqual(range);
    expect(rangeOf(wholeWithin(4, 12))).toEqual({ least: 4, most: 12, unit: "" });
  });

  it("has no range where a schema has none: that is a bug", () => {
    expect(() => rangeOf(v.number())).toThrow(/no min_value/);
  });
});

describe("a count", () => {
  it("is whole, not negative and kept exactly", () => {
    expect([0, 7, Number.MAX_SAFE_INTEGER].map((value) => says(count, value))).toEqual(["", "", ""]);
    for (const value of [-1, 0.5, 2 ** 53]) expect(says(count, value)).not.toBe("");
  });
});
