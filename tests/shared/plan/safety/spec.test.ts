/** The SPEC beside the rules names each rule's tests, and they are there. */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { RULE_NUMBERS } from "../../../../shared/plan/safety/rules.ts";

const root = new URL("../../../../", import.meta.url);
const spec = readFileSync(new URL("shared/plan/safety/SPEC.md", root), "utf8");
const rows = spec.split("\n").filter((line) => line.startsWith("| **S"));
const testsOf = (row: string) => [...row.matchAll(/`(tests\/[^`]+)`/g)].map((match) => match[1] ?? "");

describe("the safety SPEC", () => {
  test("has one row for each rule, in order", () => {
    expect(rows.map((row) => /\*\*(S\d+)\*\*/.exec(row)?.[1])).toEqual([...RULE_NUMBERS]);
  });

  test("names tests of every rule, and every one it names is there", () => {
    for (const row of rows) expect(testsOf(row).length, row.slice(0, 40)).toBeGreaterThan(0);
    const named = [...spec.matchAll(/`(tests\/[^`]+\.tsx?)`/g)].map((match) => match[1] ?? "");
    for (const file of named) expect(existsSync(new URL(file, root)), file).toBe(true);
  });

  test("names every test of a rule on plans in the row of its rule", () => {
    const folder = "tests/shared/plan/safety/";
    const files = readdirSync(new URL(folder, root)).filter((name) => /^S\d+-/.test(name));
    for (const name of files) {
      const rule = `S${Number(/^S(\d+)/.exec(name)?.[1])}`;
      const row = rows.find((one) => one.startsWith(`| **${rule}**`)) ?? "";
      expect(testsOf(row)).toContain(`${folder}${name}`);
    }
  });
});
