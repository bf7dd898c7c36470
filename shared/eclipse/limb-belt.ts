/**
 * The Moon's terrain near its limb: the pixels of LOLA's LDEM_4 (NASA PDS, LRO-L-LOLA-4-GDR, 4
 * pixels a degree, 7.6 km) that can stand on the limb, at any libration that an eclipse can have.
 * Built by scripts/build-limb.ts.
 *
 * A pixel's mean height stands for the whole pixel: smoothing between pixels would lower the peaks
 * that make the outline. Heights are above the sphere of 1737.4 km about the centre of mass, in
 * steps of 64 m (0.03″ at the Moon; the rounding error is a quarter of that).
 */

export const BELT_REFERENCE_KM = 1737.4;
export const BELT_LINES = 720;
export const BELT_SAMPLES = 1440;
const PIXELS_PER_DEG = 4;
const HEIGHT_STEP_KM = 0.064;
const LOWEST_KM = -9.216;
/** Byte of a pixel that the belt does not hold. */
const UNKNOWN = 255;

const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
const DEG = 180 / Math.PI;

export interface PackedBelt {
  source: string;
  /** For each line from the north pole: starts and lengths of the stretches held, in samples. */
  stretches: number[][];
  /** Their heights, one byte each, base 64. */
  heights: string;
}

export class LimbBelt {
  readonly #bytes: Uint8Array;

  private constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  /** Throws RangeError where the table is damaged. */
  static unpack(packed: PackedBelt): LimbBelt {
    const bytes = new Uint8Array(BELT_LINES * BELT_SAMPLES).fill(UNKNOWN);
    const next = byteReader(packed.heights);
    if (packed.stretches.length !== BELT_LINES)
      throw new RangeError(`stretches must have ${BELT_LINES} lines: ${packed.stretches.length}`);
    packed.stretches.forEach((line, y) => {
      for (let i = 0; i < line.length; i += 2) {
        const start = line[i] as number;
        for (let x = start; x < start + (line[i + 1] as number); x++) bytes[y * BELT_SAMPLES + x] = next();
      }
    });
    return new LimbBelt(bytes);
  }

  /**
   * Height in km under a direction from the Moon's centre (unit vector: toward the mean Earth,
   * toward longitude 90° east, toward the north pole). Beyond the belt: the lowest, which hides nothing.
   */
  heightKm(x: number, y: number, z: number): number {
    const line = Math.min(BELT_LINES - 1, Math.floor((90 - Math.asin(z) * DEG) * PIXELS_PER_DEG));
    const east = Math.floor(Math.atan2(y, x) * DEG * PIXELS_PER_DEG);
    const sample = east < 0 ? east + BELT_SAMPLES : east === BELT_SAMPLES ? 0 : east;
    const byte = this.#bytes[line * BELT_SAMPLES + sample] as number;
    return byte === UNKNOWN ? LOWEST_KM : LOWEST_KM + byte * HEIGHT_STEP_KM;
  }

  /** Whether the belt holds the pixel under a direction. */
  holds(x: number, y: number, z: number): boolean {
    return this.heightKm(x, y, z) > LOWEST_KM;
  }
}

/** Packs the pixels for which `held(line, sample)`; `heightKm` gives their heights. */
export function packBelt(
  source: string,
  held: (line: number, sample: number) => boolean,
  heightKm: (line: number, sample: number) => number,
): PackedBelt {
  const bytes: number[] = [];
  const stretches = Array.from({ length: BELT_LINES }, (_, line) => {
    const runs: number[] = [];
    for (let x = 0; x < BELT_SAMPLES; x++) {
      if (!held(line, x)) continue;
      if (runs.length > 0 && (runs.at(-2) as number) + (runs.at(-1) as number) === x)
        runs[runs.length - 1] = (runs.at(-1) as number) + 1;
      else runs.push(x, 1);
      const step = Math.round((heightKm(line, x) - LOWEST_KM) / HEIGHT_STEP_KM);
      bytes.push(Math.max(1, Math.min(UNKNOWN - 1, step)));
    }
    return runs;
  });
  return { source, stretches, heights: base64(bytes) };
}

function base64(bytes: readonly number[]): string {
  const digits: string[] = [];
  let bits = 0;
  let kept = 0;
  for (const byte of bytes) {
    kept = (kept << 8) | byte;
    bits += 8;
    while (bits >= 6) {
      bits -= 6;
      digits.push(DIGITS[(kept >> bits) & 63] as string);
      kept &= (1 << bits) - 1;
    }
  }
  if (bits > 0) digits.push(DIGITS[(kept << (6 - bits)) & 63] as string);
  return digits.join("");
}

function byteReader(text: string): () => number {
  const values = new Map([...DIGITS].map((digit, i) => [digit, i]));
  let at = 0;
  let bits = 0;
  let kept = 0;
  return () => {
    while (bits < 8) {
      const digit = values.get(text[at] ?? "");
      if (digit === undefined) throw new RangeError(`heights: not base 64, or too short, at ${at}`);
      kept = ((kept & 255) << 6) | digit;
      bits += 6;
      at++;
    }
    bits -= 8;
    return (kept >> bits) & 255;
  };
}
