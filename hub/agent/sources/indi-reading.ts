/**
 * What INDI's standard properties say of a rig. Pure. Names from the protocol's published list of standard
 * properties, from memory; tested against the simulators that Debian packages.
 *
 *   TELESCOPE_TRACK_STATE, TELESCOPE_PARK, EQUATORIAL_EOD_COORD   mount: Busy coordinates are a slew
 *   FILTER_SLOT, FILTER_NAME                                      wheel: number, and names by number
 *   CCD_EXPOSURE                                                  camera: Busy while it exposes
 *   ABS_FOCUS_POSITION, FOCUS_TEMPERATURE                         focuser
 *   CAP_PARK                                                      dust cap: parked is closed
 *   WEATHER_PARAMETERS                                            °C, %, km/h in most drivers
 */
import type { Instrument } from "../../../shared/run/facts/instrument-fields.ts";
import type { Saying } from "../source.ts";
import { figure } from "./figure.ts";
import { wheelSaying } from "./wheel.ts";

export interface IndiVector {
  device: string;
  name: string;
  /** "Idle", "Ok", "Busy", "Alert". */
  state: string;
  members: Map<string, string>;
}

/** Whether anything here hangs on a property of this name; all others are not kept. */
export function isRead(name: string): boolean {
  return READ.has(name);
}

const READ: ReadonlySet<string> = new Set([
  "CONNECTION",
  "TELESCOPE_TRACK_STATE",
  "TELESCOPE_PARK",
  "EQUATORIAL_EOD_COORD",
  "FILTER_SLOT",
  "FILTER_NAME",
  "CCD_EXPOSURE",
  "ABS_FOCUS_POSITION",
  "FOCUS_TEMPERATURE",
  "CAP_PARK",
  "WEATHER_PARAMETERS",
]);

/** More is no wind. */
const WIND_MOST_KMH = 400;

type Sayings = Map<Instrument, Saying>;

/** By connected device that says anything of a rig: a camera may have a wheel of its own. */
export function readIndi(vectors: readonly IndiVector[]): Map<string, Sayings> {
  const devices = new Map<string, Sayings>();
  const byDevice = new Map<string, Map<string, IndiVector>>();
  for (const vector of vectors) {
    const known = byDevice.get(vector.device) ?? new Map<string, IndiVector>();
    byDevice.set(vector.device, known.set(vector.name, vector));
  }
  for (const [device, properties] of byDevice) {
    const member = (name: string, of: string): string | undefined => properties.get(name)?.members.get(of);
    const isOn = (name: string, of: string): boolean => member(name, of) === "On";
    // One that is not connected says what it was set to when it last was.
    if (!isOn("CONNECTION", "CONNECT")) continue;
    const say = (instrument: Instrument, saying: Saying): void => {
      const sayings: Sayings = devices.get(device) ?? new Map();
      devices.set(device, sayings.set(instrument, { ...sayings.get(instrument), ...saying }));
    };
    const sayFigure = (instrument: Instrument, ...of: Parameters<typeof figure>): void => {
      const saying = figure(...of);
      if (Object.keys(saying).length > 0) say(instrument, saying);
    };
    const busy = (name: string): boolean => properties.get(name)?.state === "Busy";
    if (properties.has("TELESCOPE_TRACK_STATE") || properties.has("TELESCOPE_PARK")) {
      const known = properties.has("TELESCOPE_TRACK_STATE");
      const parked = isOn("TELESCOPE_PARK", "PARK");
      const tracks = isOn("TELESCOPE_TRACK_STATE", "TRACK_ON");
      // While it tracks, drivers report moving coordinates as Busy, too: a slew is one that does not track.
      const slews = busy("TELESCOPE_PARK") || (!tracks && busy("EQUATORIAL_EOD_COORD"));
      const mount = slews ? "slewing" : parked ? "parked" : tracks ? "tracking" : "stopped";
      // A mount that says nothing of its tracking has not stopped for that.
      say("mount", {
        ...((known || mount !== "stopped") && { mount }),
        ...(known && { tracking: tracks && !parked }),
      });
    }
    const slot = number(member("FILTER_SLOT", "FILTER_SLOT_VALUE"));
    // While it turns (Busy; drivers name the old slot or the new one) or has failed (Alert), it is at no slot.
    const turns = busy("FILTER_SLOT") || properties.get("FILTER_SLOT")?.state === "Alert";
    if (slot !== null && turns) say("wheel", {});
    else if (slot !== null)
      say("wheel", wheelSaying(member("FILTER_NAME", `FILTER_SLOT_NAME_${slot}`), slot));
    if (properties.has("CCD_EXPOSURE")) say("imager", { exposing: busy("CCD_EXPOSURE") });
    sayFigure("focuser", "focuserAt", number(member("ABS_FOCUS_POSITION", "FOCUS_ABSOLUTE_POSITION")), 1);
    sayFigure("focuser", "focuserC", number(member("FOCUS_TEMPERATURE", "TEMPERATURE")), 10);
    if (properties.has("CAP_PARK"))
      say("cover", {
        cover: busy("CAP_PARK") ? "moving" : isOn("CAP_PARK", "PARK") ? "closed" : "open",
      });
    const weather = (of: string): number | null => number(member("WEATHER_PARAMETERS", of));
    sayFigure("weather", "airC", weather("WEATHER_TEMPERATURE"), 10);
    sayFigure("weather", "humidityPct", weather("WEATHER_HUMIDITY"), 1);
    const windKmh = weather("WEATHER_WIND_SPEED");
    if (windKmh !== null && windKmh <= WIND_MOST_KMH) sayFigure("weather", "windMPerS", windKmh / 3.6, 10);
  }
  return devices;
}

/** INDI writes numbers plainly or in sexagesimal; the latter are none of those read here. */
function number(text: string | undefined): number | null {
  if (text === undefined || !/^\s*[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?\s*$/.test(text)) return null;
  return Number(text);
}
