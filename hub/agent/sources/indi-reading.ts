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

/** More is no wind. */
const WIND_MOST_KMH = 400;

type Sayings = Map<Instrument, Saying>;

export function readIndi(vectors: readonly IndiVector[]): {
  sayings: Sayings;
  /** Connected ones that say anything of a rig. */
  devices: string[];
} {
  const sayings: Sayings = new Map();
  const devices = new Set<string>();
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
      devices.add(device);
      sayings.set(instrument, { ...sayings.get(instrument), ...saying });
    };
    const sayFigure = (instrument: Instrument, ...of: Parameters<typeof figure>): void => {
      const saying = figure(...of);
      if (Object.keys(saying).length > 0) say(instrument, saying);
    };
    const busy = (name: string): boolean => properties.get(name)?.state === "Busy";
    if (properties.has("TELESCOPE_TRACK_STATE") || properties.has("TELESCOPE_PARK")) {
      const parked = isOn("TELESCOPE_PARK", "PARK");
      const tracks = isOn("TELESCOPE_TRACK_STATE", "TRACK_ON");
      // While it tracks, drivers report moving coordinates as Busy, too: a slew is one that does not track.
      const slews = busy("TELESCOPE_PARK") || (!tracks && busy("EQUATORIAL_EOD_COORD"));
      say("mount", {
        mount: slews ? "slewing" : parked ? "parked" : tracks ? "tracking" : "stopped",
        ...(properties.has("TELESCOPE_TRACK_STATE") && { tracking: tracks && !parked }),
      });
    }
    const slot = number(member("FILTER_SLOT", "FILTER_SLOT_VALUE"));
    // While it turns it is at no slot.
    if (slot !== null && busy("FILTER_SLOT")) say("wheel", {});
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
  return { sayings, devices: [...devices] };
}

/** INDI writes numbers plainly or in sexagesimal; the latter are none of those read here. */
function number(text: string | undefined): number | null {
  if (text === undefined || !/^\s*[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?\s*$/.test(text)) return null;
  return Number(text);
}
