/**
 * Cautions on the printed cue sheets. Source: safety rules S2, S3, S12 and S13 of
 * shared/plan/safety, which rest on NASA's eye-safety text and the NASA/AAS joint statement
 * (filters on at all times except in totality inside the path; optics filtered at the front).
 */
import { describe, expect, it } from "vitest";
import { cautionsFor } from "../../../../../console/lead/plan/paper/cautions.ts";
import { circumstances } from "../../../../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../../../../shared/eclipse/table.ts";
import type { Rig } from "../../../../../shared/plan/model/plan.ts";

const solve = (latDeg: number, lonDeg: number) => {
  const elements = eclipseById("2027-08-02");
  if (!elements) throw new Error("not in the table");
  return { circumstances: circumstances(elements, { latDeg, lonDeg, heightM: 0 }) };
};
const total = solve(25.687, 32.639);
const partial = solve(48.85, 2.35);
const rig = (part: Partial<Rig>): Rig => ({
  id: "kite",
  name: "Kite",
  kind: "tracked-telescope",
  operator: "",
  lookedThrough: false,
  publicQueue: false,
  unattended: false,
  focalLengthMm: 400,
  filter: "front",
  cues: [],
  ...part,
});

describe("cautions of a cue sheet", () => {
  it("say first, at a partial site, that filters stay on throughout (S2)", () => {
    for (const kind of ["tracked-telescope", "wide-camera", "projection", "binocular"] as const)
      expect(cautionsFor(rig({ kind }), partial)[0]).toBe("lead.caution.stay");
  });

  it("say so at a total site of a rig whose filter never comes off (S2)", () => {
    expect(cautionsFor(rig({ kind: "narrowband-telescope" }), total)[0]).toBe("lead.caution.stayHere");
    expect(cautionsFor(rig({ publicQueue: true }), total)[0]).toBe("lead.caution.stayHere");
  });

  it("tell a rig that somebody looks through apart from a camera (S3, S4)", () => {
    expect(cautionsFor(rig({}), total)[0]).toBe("lead.caution.total");
    expect(cautionsFor(rig({ lookedThrough: true }), total)[0]).toBe("lead.caution.lookedThrough");
  });

  it("ask for an attendant where optics project or stand alone (S12)", () => {
    expect(cautionsFor(rig({ kind: "projection", filter: "none by design" }), total)).toContain(
      "lead.caution.guard",
    );
    expect(cautionsFor(rig({ unattended: true }), total)).toContain("lead.caution.guard");
  });

  it("always end with cover, front filters and the eye's last word (S7, S13, S15)", () => {
    for (const site of [total, partial])
      expect(cautionsFor(rig({}), site).slice(-3)).toEqual([
        "lead.caution.cover",
        "lead.caution.front",
        "lead.caution.eye",
      ]);
  });
});
