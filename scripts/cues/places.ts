/** Which places `npm run cues` prints: a set that shows every kind of list, or the one asked for. */
import { parseArgs } from "node:util";

export interface AskedPlace {
  /** Why this place, in a few words. */
  title: string;
  eclipse: string;
  latDeg: number;
  lonDeg: number;
  heightM: number;
  limb: boolean;
}

const place = (title: string, eclipse: string, latDeg: number, lonDeg: number): AskedPlace => ({
  title,
  eclipse,
  latDeg,
  lonDeg,
  heightM: 0,
  limb: true,
});

export const TELLING_PLACES: readonly AskedPlace[] = [
  place("a long totality", "2027-08-02", 25.69, 32.64),
  place("a totality of less than a minute", "2027-08-02", 24.43, 32.64),
  place("a path's edge", "2027-08-02", 24.415, 32.64),
  place("nearly four minutes", "2028-07-22", -33.87, 151.21),
  place("a hybrid eclipse where it is total", "2031-11-14", -0.69, -137.47),
  place("sunset in eclipse", "2030-11-25", -27.74, 147.57),
  place("sunrise in eclipse", "2030-11-25", -18.31, 6.83),
  place("a ring, with sunset before its end", "2028-01-26", 37.39, -5.99),
  place("a hybrid eclipse where it is a short ring", "2031-11-14", 6.58, -84.2),
  place("partial", "2027-08-02", 41.9, 12.5),
];

/** The places asked for, or what is wrong with an argument, in a sentence that names it. */
export function placesAsked(args: string[]): { places: readonly AskedPlace[] } | { wrong: string } {
  if (args.length === 0) return { places: TELLING_PLACES };
  let given: Record<string, string | undefined>;
  try {
    const text = { type: "string" } as const;
    const options = { eclipse: text, lat: text, lon: text, height: text, limb: text };
    given = parseArgs({ args: joined(args), options, strict: true }).values;
  } catch (cause) {
    return { wrong: `${(cause as Error).message}. Known: --eclipse --lat --lon --height --limb.` };
  }
  const { eclipse, limb = "on" } = given;
  if (eclipse === undefined || !/^\d{4}-\d\d-\d\d$/.test(eclipse))
    return { wrong: "--eclipse must be the date of an eclipse, YYYY-MM-DD." };
  if (limb !== "on" && limb !== "off") return { wrong: "--limb must be on or off." };
  const wrong: string[] = [];
  const number = (name: string, text: string | undefined, least: number, most: number): number => {
    const value = text === undefined || text.trim() === "" ? Number.NaN : Number(text);
    if (value >= least && value <= most) return value;
    wrong.push(`--${name} must be a number from ${least} to ${most}.`);
    return Number.NaN;
  };
  const asked = {
    ...place("the place asked for", eclipse, number("lat", given.lat, -90, 90), 0),
    lonDeg: number("lon", given.lon, -180, 180),
    heightM: number("height", given.height ?? "0", -430, 9000),
    limb: limb === "on",
  };
  return wrong.length > 0 ? { wrong: wrong.join(" ") } : { places: [asked] };
}

/** "--lon -32.5" as "--lon=-32.5": a number below zero is not another option. */
function joined(args: readonly string[]): string[] {
  const result: string[] = [];
  for (const arg of args) {
    const last = result.at(-1);
    if (/^-[\d.]/.test(arg) && last !== undefined && /^--\w+$/.test(last))
      result[result.length - 1] = `${last}=${arg}`;
    else result.push(arg);
  }
  return result;
}
