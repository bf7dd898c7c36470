/**
 * What Alpaca devices say of a rig, by device type and the names of the standard's properties. Pure. A
 * device gives all in one answer (`devicestate`, in newer interfaces), or each by itself.
 */
import type { Instrument } from "../../../shared/run/facts/instrument-fields.ts";
import type { Saying } from "../source.ts";
import { wheelSaying } from "./wheel.ts";

type Values = Readonly<Record<string, unknown>>;

/** By lower-case device type: properties to ask for, and what they say. Property names in lower case. */
export const ALPACA_TYPES: Readonly<
  Record<string, { properties: readonly string[]; read: (values: Values) => [Instrument, Saying] }>
> = {
  telescope: {
    properties: ["tracking", "slewing", "atpark"],
    read: ({ tracking, slewing, atpark }) => [
      "mount",
      {
        mount:
          slewing === true
            ? "slewing"
            : atpark === true
              ? "parked"
              : tracking === true
                ? "tracking"
                : "stopped",
        ...(typeof tracking === "boolean" && { tracking: tracking && atpark !== true }),
      },
    ],
  },
  filterwheel: {
    properties: ["position", "names"],
    read: ({ position, names }) => {
      // -1 while it turns.
      if (!isWhole(position) || position < 0) return ["wheel", {}];
      const name = Array.isArray(names) ? names[position] : undefined;
      return ["wheel", wheelSaying(typeof name === "string" ? name : undefined, position)];
    },
  },
  camera: {
    properties: ["camerastate"],
    // 0 idle, 1 waiting, 2 exposing, 3 reading, 4 downloading, 5 error.
    read: ({ camerastate }) => ["imager", isWhole(camerastate) ? { exposing: camerastate === 2 } : {}],
  },
  covercalibrator: {
    properties: ["coverstate"],
    // 0 not present, 1 closed, 2 moving, 3 open, 4 unknown, 5 error.
    read: ({ coverstate }) => {
      const cover = ({ 1: "closed", 2: "moving", 3: "open" } as const)[coverstate as 1 | 2 | 3];
      return ["cover", cover ? { cover } : {}];
    },
  },
  focuser: {
    properties: ["position", "temperature"],
    read: ({ position, temperature }) => [
      "focuser",
      {
        ...within("focuserAt", position, -1e7, 1e7, 1),
        ...within("focuserC", temperature, -80, 80, 10),
      },
    ],
  },
  observingconditions: {
    properties: ["temperature", "humidity", "windspeed", "cloudcover", "skytemperature"],
    read: (values) => [
      "weather",
      {
        ...within("airC", values.temperature, -80, 70, 10),
        ...within("humidityPct", values.humidity, 0, 100, 1),
        ...within("windMPerS", values.windspeed, 0, 120, 10),
        ...within("cloudPct", values.cloudcover, 0, 100, 1),
        ...within("skyC", values.skytemperature, -100, 60, 10),
      },
    ],
  },
};

function isWhole(value: unknown): value is number {
  return Number.isInteger(value);
}

/** A number within its range, to a part of one; nothing else is said. */
function within(field: keyof Saying, value: unknown, least: number, most: number, parts: number): Saying {
  if (typeof value !== "number" || !(value >= least && value <= most)) return {};
  return { [field]: Math.round(value * parts) / parts };
}
