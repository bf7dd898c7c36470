/** Our contacts against astronomy-engine 2.1.19 (general reference library, good to about 10 s). */
import { SearchGlobalSolarEclipse } from "astronomy-engine";
import { describe, expect, it } from "vitest";
import { AGREES_WITHIN_S, secondOpinion } from "../../hub/astronomy-check.ts";
import { Solver } from "../../hub/solver.ts";
import { eclipsesBetween } from "../../shared/eclipse/table.ts";
import { utcMs } from "../../shared/time/instants.ts";

/** Instants of greatest eclipse (UTC ms) it finds from a time on, as many as asked for. */
function eclipsesAhead(fromUtcMs: number, count: number): number[] {
  const found: number[] = [];
  let from = fromUtcMs;
  for (let n = 0; n < count; n++) {
    const next = SearchGlobalSolarEclipse(new Date(from)).peak.date.getTime();
    found.push(next);
    from = next + 10 * 86_400_000;
  }
  return found;
}

describe("second opinion", () => {
  const solver = new Solver();
  it.each([
    ["2024-04-08", 32.78, -96.8],
    ["2026-08-12", 43.36, -5.85],
    ["2027-08-02", 25.69, 32.64],
    ["2028-07-22", -33.87, 151.21],
    ["2028-01-26", 37.39, -5.98],
    ["2027-08-02", 51.5, 0],
  ])("agrees on %s at %d, %d", (eclipse, latDeg, lonDeg) => {
    const place = { latDeg, lonDeg, heightM: 0 };
    const ours = solver.circumstances(eclipse, place, { limb: false });
    const opinion = secondOpinion(ours!, place);
    expect(opinion.verdict).toBe("agrees");
    expect(opinion.worstS).toBeLessThan(AGREES_WITHIN_S);
    expect(opinion.differencesS.max).not.toBeNull();
  });

  it("sees that something is wrong when a contact is a minute off", () => {
    const place = { latDeg: 25.69, lonDeg: 32.64, heightM: 0 };
    const ours = solver.circumstances("2027-08-02", place, { limb: false })!;
    const c2 = { ...ours.contacts.c2!, utcMs: utcMs(ours.contacts.c2!.utcMs + 60_000) };
    const opinion = secondOpinion({ ...ours, contacts: { ...ours.contacts, c2 } }, place);
    expect(opinion.verdict).toBe("disagrees");
  });

  it("finds the same eclipses ahead as the table, within a minute", () => {
    const from = utcMs(Date.UTC(2026, 10, 1));
    const theirs = eclipsesAhead(from, 12);
    const ours = eclipsesBetween(from, utcMs(theirs.at(-1)! + 86_400_000));
    expect(ours).toHaveLength(12);
    ours.forEach((eclipse, n) => {
      expect(Math.abs(eclipse.greatestUtcMs - theirs[n]!) / 1000).toBeLessThan(60);
    });
  });
});
