/**
 * A rig's equipment as typed, read into the plan's; each wrong field is named. Every field may be left
 * empty: what is not known is not said. Where nothing is, the rig has no equipment.
 */
import * as v from "valibot";
import type { Mount } from "../../../../shared/budget/frame-turn.ts";
import { SENSOR_FORMATS_MM, type Sensor, type Tracking } from "../../../../shared/budget/framing.ts";
import { PHENOMENA, type Phenomenon } from "../../../../shared/budget/phenomena.ts";
import {
  type Equipment,
  EquipmentSchema,
  NO_EQUIPMENT,
  OwnBrightnessSchema,
  SensorSchema,
} from "../../../../shared/plan/model/equipment.ts";
import type { RigKind } from "../../../../shared/plan/model/vocabulary.ts";
import { type FieldProblem, rangeWords, readWithin } from "../../../forms/field-range.ts";
import { readNumber } from "../../../forms/read-number.ts";

const SENSOR_FIELDS = ["widthMm", "heightMm", "widthPx", "heightPx"] as const;
export const FIGURES = [
  "apertureMm",
  "fNumber",
  "factor",
  "filterDensity",
  "iso",
  "frameMB",
  "videoMbitPerS",
  "burstPerS",
  "bufferFrames",
  "shutterLagS",
  "cardGB",
  "cardMBPerS",
  "batteryWh",
  "drawW",
] as const;
type Figure = (typeof FIGURES)[number];
export type EquipmentField = Figure | (typeof SENSOR_FIELDS)[number];

export type EquipmentForm = Record<EquipmentField, string> & {
  mount: Mount | "";
  tracking: Tracking | "";
  camera: string;
  /** Own brightness exponents as typed; those that are not there are the published ones. */
  brightness: Readonly<Partial<Record<Phenomenon, string>>>;
};
export type EquipmentProblems = Partial<Record<EquipmentField | Phenomenon, FieldProblem>>;

/** Of one own brightness exponent. */
const OWN_Q: v.GenericSchema = OwnBrightnessSchema.entries.q;

export const schemaOf = (name: EquipmentField): v.GenericSchema =>
  isSensorField(name) ? SensorSchema.entries[name] : EquipmentSchema.entries[name];

function isSensorField(name: EquipmentField): name is keyof Sensor {
  return (SENSOR_FIELDS as readonly string[]).includes(name);
}

/** What is as if nobody had said it stays empty. */
export function equipmentForm(equipment: Equipment = NO_EQUIPMENT): EquipmentForm {
  const said = (value: number | null | undefined, unsaid: number | null = null) =>
    value === null || value === undefined || value === unsaid ? "" : String(value);
  const form = Object.create(null) as EquipmentForm;
  for (const name of FIGURES) form[name] = said(equipment[name], NO_EQUIPMENT[name]);
  for (const name of SENSOR_FIELDS) form[name] = said(equipment.sensor?.[name]);
  const { mount, tracking, camera } = equipment;
  const brightness = Object.fromEntries((equipment.brightness ?? []).map(({ of, q }) => [of, String(q)]));
  return Object.assign(form, { mount: mount ?? "", tracking: tracking ?? "", camera, brightness });
}

export type ReadEquipment =
  | { ok: true; equipment: Equipment | undefined }
  | { ok: false; problems: EquipmentProblems };

export function readEquipment(form: EquipmentForm): ReadEquipment {
  const problems: EquipmentProblems = {};
  const read = (name: EquipmentField): number | null => {
    if (form[name].trim() === "") return null;
    const value = readNumber(form[name]);
    if (value !== null && v.is(schemaOf(name), value)) return value;
    problems[name] = { key: "equipment.wrong", values: rangeWords(schemaOf(name)) };
    return null;
  };
  const equipment: Equipment = { ...NO_EQUIPMENT };
  for (const name of FIGURES) {
    const value = read(name);
    if (name === "factor" || name === "shutterLagS") equipment[name] = value ?? NO_EQUIPMENT[name];
    else equipment[name] = value;
  }
  const sides = SENSOR_FIELDS.map((name) => [name, read(name)] as const);
  if (SENSOR_FIELDS.some((name) => form[name].trim() !== "")) {
    for (const name of SENSOR_FIELDS)
      if (form[name].trim() === "") problems[name] = { key: "equipment.sensorWhole" };
    equipment.sensor = Object.fromEntries(sides) as unknown as Sensor;
  }
  equipment.mount = form.mount || null;
  equipment.tracking = form.tracking || null;
  equipment.camera = form.camera.trim();
  const own = PHENOMENA.flatMap((of) => {
    const typed = form.brightness[of]?.trim() ?? "";
    const q = readWithin(OWN_Q, typed);
    if (typed !== "" && q === null) problems[of] = { key: "equipment.wrong", values: rangeWords(OWN_Q) };
    return q === null ? [] : [{ of, q }];
  });
  if (own.length > 0) equipment.brightness = own;
  if (Object.keys(problems).length > 0) return { ok: false, problems };
  const nothing = JSON.stringify(equipment) === JSON.stringify(NO_EQUIPMENT);
  return { ok: true, equipment: nothing ? undefined : equipment };
}

/** Usual pixels of a format: some 20 to 24 million (common practice, no source). */
const PIXELS: Readonly<Record<string, readonly [number, number]>> = {
  "3:2": [6000, 4000],
  "4:3": [5200, 3900],
};

/** The sensor of a format; pixels that somebody typed stay. */
export function sensorOfFormat(format: string, form: EquipmentForm): Partial<EquipmentForm> {
  const [widthMm, heightMm] = SENSOR_FORMATS_MM[format] ?? [];
  if (widthMm === undefined || heightMm === undefined) return {};
  const [across, up] = PIXELS[widthMm / heightMm > 1.42 ? "3:2" : "4:3"] ?? [];
  return {
    widthMm: String(widthMm),
    heightMm: String(heightMm),
    widthPx: form.widthPx || String(across),
    heightPx: form.heightPx || String(up),
  };
}

/** Of the formats the one that is typed; "" for none. */
export function formatOf(form: EquipmentForm): string {
  const is = ([widthMm, heightMm]: readonly [number, number]) =>
    readNumber(form.widthMm) === widthMm && readNumber(form.heightMm) === heightMm;
  return Object.keys(SENSOR_FORMATS_MM).find((name) => is(SENSOR_FORMATS_MM[name] ?? [0, 0])) ?? "";
}

const STILLS = { iso: "100", frameMB: "30", burstPerS: "5", bufferFrames: "30", cardMBPerS: "80" };
const POWER = { cardGB: "64", batteryWh: "16", drawW: "4" };

/** Where to begin with a kind of rig (common practice, no source). */
const USUAL: Partial<Record<RigKind, Partial<EquipmentForm>>> = {
  "tracked-telescope": {
    ...STILLS,
    ...POWER,
    apertureMm: "80",
    filterDensity: "5",
    mount: "equatorial",
    tracking: "solar",
  },
  "tripod-camera": {
    ...STILLS,
    ...POWER,
    fNumber: "8",
    filterDensity: "5",
    mount: "tripod",
    tracking: "none",
  },
  "wide-camera": { ...STILLS, ...POWER, fNumber: "4", mount: "tripod", tracking: "none" },
  "video-camera": {
    ...POWER,
    fNumber: "4",
    iso: "100",
    videoMbitPerS: "55",
    filterDensity: "5",
    mount: "tripod",
    tracking: "none",
  },
  "small-automatic-telescope": {
    ...POWER,
    apertureMm: "50",
    iso: "100",
    frameMB: "5",
    filterDensity: "5",
    mount: "alt-azimuth",
    tracking: "solar",
  },
};

/** What is empty gets the usual figure; whether f-number or aperture counts, the one that is typed decides. */
export function withUsual(form: EquipmentForm, kind: RigKind): EquipmentForm {
  const usual = { ...USUAL[kind] };
  if (form.fNumber.trim() !== "" || form.apertureMm.trim() !== "") {
    delete usual.fNumber;
    delete usual.apertureMm;
  }
  const empty = Object.entries(usual).filter(
    ([name]) => form[name as EquipmentField | "mount" | "tracking"].trim() === "",
  );
  return { ...form, ...Object.fromEntries(empty) };
}

export function hasUsual(kind: RigKind): boolean {
  return USUAL[kind] !== undefined;
}
