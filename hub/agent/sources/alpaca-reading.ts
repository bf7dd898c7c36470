/**
 * What Alpaca devices say of a rig, by device type and the names of the standard's properties. Pure. A
 * device gives all in one answer (`devicestate`, in newer interfaces), or each by itself.
 */
import type { Instrument } from "../../../shared/run/facts/instrument-fields.ts";
import type { Saying } from "../source.ts";
import { figure } from "./figure.ts";
import { wheelSaying } from "./wheel.ts";

type Values = Readonly<Record<string, unknown>>;

/** By lower-case device type: properties to ask for, and what they say. Property names in lower case. */
export const ALPACA_TYPES: Readonly<
  Record<string, { properties: readonly string[]; read: (values: Values) => [Instrument, Saying] }>
> = {
  telescope: {
    properties: ["tracking", "slewing", "atpark"],
    read: ({ tracking, slewing, atpark }) => {
      const mount =
        slewing === true
          ? "slewing"
          : atpark === true
            ? "parked"
            : tracking === true
              ? "tracking"
              : tracking === false
                ? "stopped"
                : undefined;
      return [
        "mount",
        {
          ...(mount && { mount }),
          ...(typeof tracking === "boolean" && { tracking: tracking && atpark !== true }),
        },
      ];
    },
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
        ...figure("focuserAt", position, 1),
        ...figure("focuserC", temperature, 10),
      },
    ],
  },
  observingconditions: {
    properties: ["temperature", "humidity", "windspeed", "cloudcover", "skytemperature"],
    read: (values) => [
      "weather",
      {
        ...figure("airC", values.temperature, 10),
        ...figure("humidityPct", values.humidity, 1),
        ...figure("windMPerS", values.windspeed, 10),
        ...figure("cloudPct", values.cloudcover, 1),
        ...figure("skyC", values.skytemperature, 10),
      },
    ],
  },
};

function isWhole(value: unknown): value is number {
  return Number.isInteger(value);
}
