/** Forms take what may be typed from the schemas, and say it in their messages. */
import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { isWithin, rangeWords, readWithin } from "../../../console/forms/field-range.ts";
import { CueSchema } from "../../../shared/plan/model/cue.ts";
import { RigSchema, SiteSchema } from "../../../shared/plan/model/plan.ts";
import { parse } from "../../../shared/run/orders/commands.ts";

const CONSOLE = fileURLToPath(new URL("../../../console/", import.meta.url));

describe("a field of a number", () => {
  it("takes what the plan takes, at both ends and beyond them", () => {
    const { latDeg, lonDeg, heightM, placeBoundM } = SiteSchema.entries;
    for (const schema of [latDeg, lonDeg, heightM, placeBoundM, CueSchema.entries.offsetS])
      for (const value of [-1e6, -14_400, -430.5, -430, -181, -90, 0, 90, 180.1, 9000, 9000.5, 1e6])
        expect([value, readWithin(schema, String(value)) !== null]).toEqual([value, parse(schema, value).ok]);
    expect(readWithin(heightM, "twelve")).toBeNull();
    expect(isWithin(heightM, 12)).toBe(true);
  });

  // ISO 80000-1:2009, 7.3.1: figures in threes with a small space, none needed where there are four.
  it("says its range with a true minus, thousands apart and its unit", () => {
    expect(rangeWords(SiteSchema.entries.heightM)).toEqual({ least: "−430", most: "9000", unit: "m" });
    expect(rangeWords(RigSchema.entries.focalLengthMm)).toMatchObject({ most: "20\u00a0000", unit: "mm" });
    expect(rangeWords(CueSchema.entries.offsetS)).toMatchObject({ least: "−14\u00a0400", unit: "s" });
  });
});

describe("no bound is written down a second time", () => {
  const files = readdirSync(CONSOLE, { recursive: true, encoding: "utf8" }).filter((name) =>
    name.endsWith(".tsx"),
  );

  it("in the fields of any page", () => {
    expect(files.length).toBeGreaterThan(60);
    const typed = files.flatMap((name) =>
      (readFileSync(`${CONSOLE}${name}`, "utf8").match(/\b(maxLength|max)=\{[\d_]+\}/g) ?? []).map(
        (found) => `${name}: ${found}`,
      ),
    );
    expect(typed).toEqual([]);
  });

  it.each(["en", "es", "fr", "ar"])("in the messages about them in %s", (language) => {
    const words = JSON.parse(readFileSync(`${CONSOLE}words/${language}/lead.json`, "utf8")) as Record<
      string,
      string
    >;
    const ranged = Object.entries(words).filter(([key]) => /\.wrong\.|wrongOffset|Digits$/.test(key));
    expect(ranged.length).toBeGreaterThan(8);
    // Examples may stay: "120:11", "−3:00".
    const figures = ranged.filter(([, text]) => /\d/.test(text.replace(/−?\d+:\d+/g, "")));
    expect(figures).toEqual([]);
  });
});
