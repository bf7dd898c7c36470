/**
 * Contrast by WCAG 2.2, "contrast ratio" and "relative luminance" (W3C Recommendation, glossary):
 * (L1 + 0.05) / (L2 + 0.05). What must be read in totality has 7:1 (criterion 1.4.6), the rest
 * 4.5:1 (1.4.3), edges of controls 3:1 (1.4.11).
 */
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const css = readFileSync(new URL("../../../console/parts/palette.css", import.meta.url), "utf8");

function colours(palette: string): Record<string, string> {
  const block = css.match(new RegExp(`data-palette="${palette}"\\] \\{([^}]*)\\}`))?.[1] ?? "";
  return Object.fromEntries([...block.matchAll(/--([a-z-]+): (#[0-9a-f]{3,6});/g)].map((m) => [m[1], m[2]]));
}

function rgb(hex: string): number[] {
  const full = hex.length === 4 ? hex.replace(/[0-9a-f]/g, "$&$&") : hex;
  return [1, 3, 5].map((i) => Number.parseInt(full.slice(i, i + 2), 16));
}

function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = rgb(hex).map((value) => {
    const c = value / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [light = 0, dark = 0] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (light + 0.05) / (dark + 0.05);
}

// W3C's own example of the largest ratio.
it("measures 21:1 between black and white", () => {
  expect(contrast("#000", "#fff")).toBeCloseTo(21, 6);
});

describe.each(["glare", "dusk"])("palette %s", (name) => {
  const palette = colours(name);
  const pairs: [string, string, number][] = [
    ["ink", "paper", 7],
    ["ink", "field", 7],
    ["slab-ink", "slab", 7],
    ["danger-ink", "danger-field", 7],
    ["caution-ink", "caution-field", 7],
    ["soft", "paper", 4.5],
    ["danger", "paper", 4.5],
    ["danger", "field", 4.5],
    ["danger", "danger-tint", 4.5],
    ["ink", "danger-tint", 7],
    ["caution", "paper", 4.5],
    ["safe", "paper", 4.5],
    ["paper", "ink", 7],
    ["edge", "paper", 3],
    ["focus", "paper", 3],
  ];

  it.each(pairs)("sets %s on %s with at least %s:1", (text, ground, least) => {
    expect(contrast(palette[text]!, palette[ground]!)).toBeGreaterThanOrEqual(least);
  });
});

it("has nothing blue or white in dusk: blue is the weakest part of every colour, and none is bright", () => {
  for (const hex of Object.values(colours("dusk"))) {
    const [r = 0, g = 0, b = 0] = rgb(hex);
    expect(b).toBeLessThanOrEqual(Math.max(r, g));
    expect(b).toBeLessThan(0x80);
    expect(luminance(hex)).toBeLessThan(0.6);
  }
});
