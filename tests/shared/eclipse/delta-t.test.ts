/** ΔT against the published values and its own stated uncertainty. */
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { deltaTAt } from "../../../shared/eclipse/delta-t.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { publishedElements } from "./published.ts";

const { time } = JSON.parse(
  readFileSync(new URL("../../fixtures/eclipse/published-time-scales.json", import.meta.url), "utf8"),
) as {
  time: {
    deltaT: { date: string; deltaT_s: number; flag: string }[];
    predicted_sigma_s: Record<string, number>;
  };
};

describe("ΔT", () => {
  it("is the published value on every published date", () => {
    // Source: IERS finals2000A.all, issue of 2026-09-28.
    for (const row of time.deltaT) {
      const ours = deltaTAt(utcMs(Date.parse(row.date)));
      expect(Math.abs(ours.deltaTS - row.deltaT_s), row.date).toBeLessThan(0.002);
      if (row.flag === "measured") expect(ours.basis).toBe("measured");
    }
  });

  it("agrees with the canon's values for the eclipses of 1990–2005", () => {
    // Source: NASA/TP-2006-214141, printed to 0.1 s, from polynomials through the measured values.
    for (const e of publishedElements.filter((x) => x.date < "2005"))
      expect(Math.abs(deltaTAt(utcMs(Date.parse(e.date))).deltaTS - e.deltaT_s), e.date).toBeLessThan(0.2);
  });

  it("states a bound of two sigma or more of the published prediction", () => {
    for (const [date, sigma] of Object.entries(time.predicted_sigma_s))
      expect(deltaTAt(utcMs(Date.parse(date))).boundS).toBeGreaterThanOrEqual(2 * sigma);
  });

  it("widens steadily beyond the last prediction", () => {
    const years = [2028, 2030, 2040, 2060, 2100].map((y) => deltaTAt(utcMs(Date.UTC(y, 0, 1))));
    expect(years.every((d) => d.basis === "extrapolated")).toBe(true);
    years.slice(1).forEach((d, i) => {
      expect(d.boundS).toBeGreaterThan((years[i]?.boundS ?? 0) * 1.2);
    });
    // Huber 2000 (from memory): about 1.6 s (1 σ) ten years on.
    const ten = deltaTAt(utcMs(Date.UTC(2037, 8, 20)));
    expect(Math.abs((ten.boundS - 0.05) / 2 - 1.6)).toBeLessThan(0.1);
  });
});
