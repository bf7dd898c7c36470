/** The whole table against independent searches and catalogue counts. */
import * as Astronomy from "astronomy-engine";
import { describe, expect, it } from "vitest";
import { PathGeometry } from "../../../shared/eclipse/central-path.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { ContactName } from "../../../shared/eclipse/circumstances-types.ts";
import { eclipseById, eclipseSummary, eclipsesBetween } from "../../../shared/eclipse/table.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { ttFromUtc } from "../../../shared/time/time-scales.ts";

const from = utcMs(Date.UTC(1990, 0, 1));
const to = utcMs(Date.UTC(2101, 0, 1));
const all = eclipsesBetween(from, to);

describe("table of eclipses", () => {
  it("holds every eclipse that astronomy-engine finds 1990–2100, of the same kind and within 30 s", () => {
    // Source: astronomy-engine 2.1.19 (truncated VSOP87 and a short lunar theory, its own ΔT model).
    let found = Astronomy.SearchGlobalSolarEclipse(new Date(from));
    for (const ours of all) {
      const theirs = found;
      expect(theirs.peak.date.toISOString().slice(0, 7)).toBe(ours.id.slice(0, 7));
      // Dynamical time on both sides: the engine's ut + its ΔT.
      const ttMs = theirs.peak.tt * 86_400_000 + Date.UTC(2000, 0, 1, 12);
      expect(Math.abs(ttMs - ttFromUtc(ours.greatestUtcMs)), ours.id).toBeLessThan(30_000);
      if (ours.kind === "hybrid") expect(["total", "annular"]).toContain(theirs.kind);
      // Non-central eclipses are partial to the engine, which looks at the axis alone.
      else if (Math.abs(ours.gamma) < 0.995) expect(theirs.kind, ours.id).toBe(ours.kind);
      found = Astronomy.NextGlobalSolarEclipse(found.peak);
    }
    expect(found.peak.date.getTime()).toBeGreaterThan(to);
  });

  it("counts 77 partial, 72 annular, 68 total and 7 hybrid in the 21st century", () => {
    // Source: NASA's catalogue summary for 2001–2100, 224 eclipses (from memory).
    const century = all.filter((e) => e.id >= "2001" && e.id < "2101");
    const count = (kind: string) => century.filter((e) => e.kind === kind).length;
    expect(["partial", "annular", "total", "hybrid"].map(count)).toEqual([77, 72, 68, 7]);
  });

  it("agrees with the textbook examples of Meeus, Astronomical Algorithms ch. 54", () => {
    // Examples 54.a and 54.b, values from memory: 1993 May 21, 14h20m.2 TD, γ = 1.1348, partial of
    // magnitude 0.740; 2009 July 22, 2h36m.4 TD, γ = 0.0695, total. Ch. 54 is good to 0.5 minute.
    const may = eclipseSummary("1993-05-21");
    const july = eclipseSummary("2009-07-22");
    if (!may || !july) throw new Error("missing");
    expect(Math.abs(ttFromUtc(may.greatestUtcMs) - Date.UTC(1993, 4, 21, 14, 20, 12))).toBeLessThan(40_000);
    expect(may.kind).toBe("partial");
    expect(Math.abs(may.gamma - 1.1348)).toBeLessThan(0.003);
    expect(Math.abs(may.magnitude - 0.74)).toBeLessThan(0.01);
    expect(Math.abs(ttFromUtc(july.greatestUtcMs) - Date.UTC(2009, 6, 22, 2, 36, 24))).toBeLessThan(40_000);
    expect(july.kind).toBe("total");
    expect(Math.abs(july.gamma - 0.0695)).toBeLessThan(0.003);
  });

  it("gives local contacts within some seconds of astronomy-engine on the central lines", () => {
    // Source: astronomy-engine 2.1.19, good to about 10 s by its documentation.
    const names: [ContactName, keyof Astronomy.LocalSolarEclipseInfo][] = [
      ["c1", "partial_begin"],
      ["c2", "total_begin"],
      ["max", "peak"],
      ["c3", "total_end"],
      ["c4", "partial_end"],
    ];
    const off: number[] = [];
    for (const summary of all.filter((e) => e.kind !== "partial").filter((_, i) => i % 4 === 0)) {
      const elements = eclipseById(summary.id);
      if (!elements) throw new Error(summary.id);
      // The engine's own ΔT, and the central line as it lies with it, a little to the north.
      const time = new Astronomy.AstroTime(new Date(summary.greatestUtcMs));
      const deltaTS = (time.tt - time.ut) * 86_400;
      const ground = new PathGeometry(elements, { deltaTS }).axisGround(
        (elements.greatestTtMs - elements.t0TtMs) / 3_600_000,
      );
      if (!ground) continue;
      const place = { latDeg: ground.latDeg + 0.05, lonDeg: ground.lonDeg, heightM: 200 };
      const observer = new Astronomy.Observer(place.latDeg, place.lonDeg, place.heightM);
      const theirs = Astronomy.SearchLocalSolarEclipse(
        new Date(summary.greatestUtcMs - 86_400_000),
        observer,
      );
      const ours = circumstances(elements, place, { deltaTS });
      expect(theirs.kind, summary.id).toBe(ours.kind);
      for (const [name, key] of names) {
        const contact = ours.contacts[name];
        const event = theirs[key] as Astronomy.EclipseEvent | undefined;
        if (!contact || !event) continue;
        const ttMs = event.time.tt * 86_400_000 + Date.UTC(2000, 0, 1, 12);
        off.push((ttMs - ttFromUtc(contact.utcMs)) / 1000);
      }
    }
    expect(off.length).toBeGreaterThan(100);
    expect(Math.max(...off.map(Math.abs))).toBeLessThan(14);
    expect(Math.sqrt(off.reduce((sum, s) => sum + s * s, 0) / off.length)).toBeLessThan(5);
  });

  it("knows nothing of days without an eclipse and keeps the span's ends", () => {
    expect(eclipseById("2026-08-13")).toBeUndefined();
    const greatest = eclipseSummary("2026-08-12")?.greatestUtcMs;
    if (greatest === undefined) throw new Error("missing");
    expect(eclipsesBetween(greatest, utcMs(greatest + 1)).map((e) => e.id)).toEqual(["2026-08-12"]);
    expect(eclipsesBetween(utcMs(greatest + 1), utcMs(greatest + 2))).toEqual([]);
  });
});
