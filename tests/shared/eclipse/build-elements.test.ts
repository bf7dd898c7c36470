/** The table is what the builder makes, byte for byte, and the builder stands on JPL's positions. */
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { buildRow } from "../../../scripts/elements/build-row.ts";
import { moonAt, sunAt, type Vector } from "../../../scripts/elements/ephemeris.ts";
import { eclipseSeasons } from "../../../scripts/elements/lunations.ts";
import { AU_KM } from "../../../shared/eclipse/elements.ts";
import { packRow, unpackRow } from "../../../shared/eclipse/packed-row.ts";

const table = JSON.parse(
  readFileSync(new URL("../../../shared/eclipse/elements-table.json", import.meta.url), "utf8"),
) as string[];

const { positions } = JSON.parse(
  readFileSync(new URL("../../fixtures/eclipse/de431-positions.json", import.meta.url), "utf8"),
) as { positions: { jdTdb: number; moonAu: number[]; sunAu: number[] }[] };

describe("elements builder", () => {
  // Total, hybrid, non-central annular and partial.
  it.each(["2017-08-21", "2023-04-20", "2014-04-29", "2025-09-21"])("rebuilds %s to the same bytes", (id) => {
    const year = Number(id.slice(0, 4));
    const near = eclipseSeasons(year, year).find((t) => Math.abs(t - Date.parse(id)) < 3 * 86_400_000);
    if (near === undefined) throw new Error(`no new moon near ${id}`);
    const row = buildRow(near);
    if (!row) throw new Error("no eclipse");
    expect(packRow(row)).toBe(table.find((line) => line.startsWith(id)));
  });

  it("finds no eclipse at a new moon between the seasons' eclipses", () => {
    // 2024-03-10 and 2024-05-08 are the new moons beside the eclipse of 2024-04-08.
    expect(buildRow(Date.parse("2024-05-08T03:22Z"))).toBeNull();
  });

  it("reads back every row it packs", () => {
    for (const line of table) expect(packRow(unpackRow(line))).toBe(line);
  });

  // Source: JPL DE431 (see the fixture). After the frame fit ELP/MPP02 and VSOP87B stay within 0.01″.
  it.each(positions.map((p) => [p.jdTdb, p] as const))("stands within 0.012″ of DE431 at JD %f", (jd, p) => {
    for (const [ours, theirs, kmOff] of [
      [moonAt(jd), p.moonAu, 0.02],
      [sunAt(jd), p.sunAu, 6],
    ] as const) {
      const jpl = theirs.map((v) => v * AU_KM) as unknown as Vector;
      expect(arcsecondsBetween(ours, jpl)).toBeLessThan(0.012);
      expect(Math.abs(Math.hypot(...ours) - Math.hypot(...jpl))).toBeLessThan(kmOff);
    }
  });
});

function arcsecondsBetween(a: Vector, b: Vector): number {
  const cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  return (Math.hypot(...cross) / Math.hypot(...a) / Math.hypot(...b)) * (648_000 / Math.PI);
}
