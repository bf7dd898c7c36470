import * as v from "valibot";
import { describe, expect, it } from "vitest";
import {
  equipmentForm,
  formatOf,
  hasUsual,
  readEquipment,
  sensorOfFormat,
  withUsual,
} from "../../../../../console/lead/plan/equipment/equipment-form.ts";
import { EquipmentSchema, NO_EQUIPMENT } from "../../../../../shared/plan/model/equipment.ts";
import { RIG_KINDS } from "../../../../../shared/plan/model/vocabulary.ts";

describe("a rig's equipment as typed", () => {
  it("left empty it is none: the rig says nothing of it", () => {
    expect(readEquipment(equipmentForm())).toEqual({ ok: true, equipment: undefined });
  });

  it("comes back from its fields as it was, whatever is known", () => {
    const known = {
      ...NO_EQUIPMENT,
      fNumber: 5.6,
      factor: 0.8,
      iso: 400,
      sensor: { widthMm: 23.5, heightMm: 15.6, widthPx: 6000, heightPx: 4000 },
      tracking: "sidereal" as const,
      mount: "tripod" as const,
      shutterLagS: 0.2,
      camera: "the grey one",
      brightness: [
        { of: "beads" as const, q: 11 },
        { of: "corona-0.5" as const, q: 2.5 },
      ],
    };
    expect(readEquipment(equipmentForm(known))).toEqual({ ok: true, equipment: known });
  });

  it("takes a comma, and names each field that the plan would not take, with its range", () => {
    const read = readEquipment({ ...equipmentForm(), fNumber: "5,6", iso: "100.5", cardGB: "many" });
    expect(read).toMatchObject({
      ok: false,
      problems: { iso: { key: "equipment.wrong" }, cardGB: { values: { unit: "GB" } } },
    });
    expect(read.ok ? {} : Object.keys(read.problems)).toEqual(["iso", "cardGB"]);
  });

  it("names an own brightness that is none, and takes an empty one for the table's", () => {
    const form = { ...equipmentForm(), brightness: { beads: "bright", "corona-1": "", "corona-2": "-1,5" } };
    const read = readEquipment(form);
    expect(read.ok ? [] : Object.keys(read.problems)).toEqual(["beads"]);
    const mended = readEquipment({ ...form, brightness: { ...form.brightness, beads: "" } });
    expect(mended.ok && mended.equipment?.brightness).toEqual([{ of: "corona-2", q: -1.5 }]);
  });

  it("asks for the whole of a sensor, which is of no use in part", () => {
    const read = readEquipment({ ...equipmentForm(), widthMm: "36", heightMm: "24" });
    expect(read.ok ? [] : Object.keys(read.problems)).toEqual(["widthPx", "heightPx"]);
  });

  it("a format fills in its sides (ISO 1007: 24 × 36 mm) and leaves pixels that were typed", () => {
    const form = { ...equipmentForm(), widthPx: "9000" };
    const filled = { ...form, ...sensorOfFormat("36x24", form) };
    expect(filled).toMatchObject({ widthMm: "36", heightMm: "24", widthPx: "9000" });
    expect(formatOf(filled)).toBe("36x24");
    expect(formatOf({ ...filled, widthMm: "35" })).toBe("");
  });

  it("usual figures fill what is empty, and are such as the plan takes", () => {
    for (const kind of RIG_KINDS.filter(hasUsual)) {
      const read = readEquipment(withUsual({ ...equipmentForm(), iso: "800", fNumber: "11" }, kind));
      if (!read.ok) throw new Error(JSON.stringify(read.problems));
      expect(read.equipment).toMatchObject({ iso: 800, fNumber: 11, apertureMm: null });
      expect(v.is(EquipmentSchema, read.equipment)).toBe(true);
    }
  });
});
