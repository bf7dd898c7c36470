/**
 * What only instruments say of a rig: the second half of the one table of reported fields
 * (reported-fields.ts has the first, what people say, and how a row is read). Apart from it because
 * phones show none of these and must not carry their rows; they fold them like all others, since the
 * words of instruments are kept by name (field-registers.ts). Words for people stand in
 * console/words/…/instruments.json under `fact.<field>`.
 *
 * Every one of them may be read only: nothing here is ever set. All stand in GET /api/run under
 * their names, null while no instrument has said.
 */
import type { FieldName, FieldType } from "./reported-fields.ts";

/** What can speak for itself beside a rig, by reading alone (hub/agent). */
export const INSTRUMENTS = [
  "folder",
  "camera",
  "imager",
  "mount",
  "wheel",
  "cover",
  "focuser",
  "weather",
  "receiver",
] as const;
export type Instrument = (typeof INSTRUMENTS)[number];

/** In a report: what says all the rest of it; without it a person does. */
export const INSTRUMENT_ROW = { type: { is: "word", words: INSTRUMENTS } } as const satisfies {
  type: FieldType;
};

/** What people say, too. */
export const ALSO_BY_INSTRUMENT: ReadonlySet<FieldName> = new Set<FieldName>([
  "filter",
  "cardFreeGB",
  "batteryPct",
  "tracking",
  "recording",
]);

const number = (least: number, most: number, unit: string, step: number) =>
  ({ is: "number", least, most, unit, step, taps: [] }) as const;
const row = <Type extends FieldType>(type: Type) => ({ type }) as const;

export const INSTRUMENT_FIELDS = {
  /** Files of frames since the agent joined, gone ones included. */
  frames: row(number(0, 1e9, "", 1)),
  /** When the newest frame was complete, UTC by the eclipse clock. */
  lastFrameUtcMs: row({ is: "time" }),
  /** Over the last minute. */
  framesPerMin: row(number(0, 1e5, "/min", 0.1)),
  /** All that was written since the agent joined. */
  writtenGB: row(number(0, 1e6, "GB", 0.1)),
  /** How fast free space goes, over the last minutes; 0 when nothing is written. */
  fillsGBPerMin: row(number(0, 1e4, "GB/min", 0.01)),
  /** Whether the card, or the folder that stands for it, can be read. */
  card: row({ is: "word", words: ["in", "gone"] }),
  mount: row({ is: "word", words: ["tracking", "stopped", "slewing", "parked"] }),
  /** The slot the filter wheel is at, as it is named there. */
  wheelSlot: row({ is: "text", most: 60 }),
  cover: row({ is: "word", words: ["open", "closed", "moving"] }),
  /** An exposure is under way. */
  exposing: row({ is: "flag" }),
  focuserAt: row(number(-1e7, 1e7, "", 1)),
  focuserC: row(number(-80, 80, "°C", 0.1)),
  airC: row(number(-80, 70, "°C", 0.1)),
  humidityPct: row(number(0, 100, "%", 1)),
  windMPerS: row(number(0, 120, "m/s", 0.1)),
  cloudPct: row(number(0, 100, "%", 1)),
  /** Infrared sky less air would say cloud; as measured. */
  skyC: row(number(-100, 60, "°C", 0.1)),
  exposureS: row(number(0, 3600, "s", 0.0001)),
  iso: row(number(0, 1e7, "", 1)),
  fNumber: row(number(0.5, 512, "", 0.1)),
  /** The camera's own clock minus UTC, and how far that may be off. */
  cameraClockS: row(number(-4e9, 4e9, "s", 0.1)),
  cameraClockBoundS: row(number(0, 1e6, "s", 0.1)),
  /** Where a receiver beside the rig is; height above the WGS 84 ellipsoid. */
  receiverLatDeg: row(number(-90, 90, "°", 0.00001)),
  receiverLonDeg: row(number(-180, 180, "°", 0.00001)),
  receiverHeightM: row(number(-500, 9000, "m", 1)),
  receiverErrorM: row(number(0, 1e7, "m", 1)),
} as const satisfies Record<string, { type: FieldType }>;

export type InstrumentField = keyof typeof INSTRUMENT_FIELDS;
export const INSTRUMENT_FIELD_NAMES = Object.keys(INSTRUMENT_FIELDS) as InstrumentField[];
