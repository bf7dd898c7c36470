/**
 * A bracket over the corona: from the prominences to the outermost radius that is wanted, and two
 * stops longer, since published brightnesses of the outer corona differ by two to four stops
 * (Baumbach 1937 against NASA RP 1369); what it costs of totality.
 */
import { nearestStop } from "./camera-stops.ts";
import { exposureS } from "./exposure.ts";
import { brightnessQ, type Phenomenon } from "./phenomena.ts";

/** Stops beyond the outermost exposure, for the sources' disagreement. */
export const EXTRA_STOPS = 2;

export interface BracketNeeds {
  fNumber: number;
  iso: number;
  lossStops: number;
  /** The shortest is for this. */
  from: Phenomenon;
  /** The longest is for this, and EXTRA_STOPS more. */
  to: Phenomenon;
  /** Between two exposures, stops, > 0. */
  stepStops: number;
  /** Between the end of one frame and the start of the next, s: shutter lag, reading out. */
  gapS: number;
  ownQ?: Partial<Readonly<Record<Phenomenon, number>>> | undefined;
}

export interface Bracket {
  /** Times as printed on the camera, shortest first, none twice. */
  frames: { name: string; seconds: number }[];
  /** How long one bracket takes, s. */
  lengthS: number;
}

/** One bracket. A camera without such short or long times gets its own ends. */
export function coronaBracket(needs: BracketNeeds): Bracket {
  const { fNumber, iso, lossStops, stepStops, gapS, ownQ } = needs;
  const at = (phenomenon: Phenomenon) => exposureS(fNumber, iso, brightnessQ(phenomenon, 5, ownQ), lossStops);
  const [a, b] = [at(needs.from), at(needs.to)];
  const shortest = Math.min(a, b);
  const longest = Math.max(a, b) * 2 ** EXTRA_STOPS;
  const steps = Math.ceil(Math.log2(longest / shortest) / stepStops - 1e-9);
  const frames: Bracket["frames"] = [];
  for (let i = 0; i <= steps; i++) {
    const stop = nearestStop(shortest * 2 ** (i * stepStops));
    if (frames.at(-1)?.name !== stop.name) frames.push(stop);
  }
  const lengthS = frames.reduce((sum, { seconds }) => sum + seconds + gapS, 0);
  return { frames, lengthS };
}

/**
 * How many whole brackets fit into the seconds that totality leaves for them; 0 is a caution: fewer
 * steps, a higher ISO or a smaller radius.
 */
export function bracketsThatFit(bracket: Bracket, availableS: number): number {
  return bracket.lengthS > 0 ? Math.max(0, Math.floor(availableS / bracket.lengthS)) : 0;
}
