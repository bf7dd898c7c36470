import * as v from "valibot";
import { describe, expect, it } from "vitest";
import { id, planId } from "../../../shared/fields/id.ts";
import { listOf } from "../../../shared/fields/list.ts";
import { lengthOf, name, rawText, text } from "../../../shared/fields/text.ts";

const says = (schema: v.GenericSchema, value: unknown): string => {
  const result = v.safeParse(schema, value);
  return result.success ? "" : result.issues[0].message;
};

describe("text", () => {
  it("is counted without the blanks around it, unless it is kept as it came", () => {
    expect(v.parse(text(3), "  abc ")).toBe("abc");
    expect(v.parse(rawText(6), "  abc ")).toBe("  abc ");
    expect(says(rawText(5), "  abc ")).toBe("must have at most 5 characters");
  });

  it("may be empty where it is no name", () => {
    expect([says(text(3), "  "), says(name(3), "  ")]).toEqual(["", "must not be empty"]);
  });

  it("gives its length back, whatever it is wrapped in", () => {
    expect([lengthOf(text(120)), lengthOf(v.optional(v.nullable(name(60)), null))]).toEqual([120, 60]);
    expect(() => lengthOf(v.string())).toThrow(/no max_length/);
  });
});

describe("an id", () => {
  it("is never a name that every object has", () => {
    for (const schema of [id, planId])
      expect(says(schema, "constructor")).toMatch(/must not be a name that every object has/);
    expect([says(id, "Ada’s phone"), says(planId, "west-2")]).toEqual(["", ""]);
    expect([says(id, ""), says(planId, "-west")]).not.toContain("");
  });
});

describe("a list", () => {
  it("has an end, and says of what there is too much", () => {
    expect(says(listOf(id, 2, "rigs"), ["a", "b"])).toBe("");
    expect(says(listOf(id, 2, "rigs"), ["a", "b", "c"])).toBe("must have at most 2 rigs");
  });
});
