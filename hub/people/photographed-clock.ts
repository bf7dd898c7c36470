/**
 * What a camera makes of the clock page's two codes: tilted, small, blurred, noisy, its sensor's rows
 * beating with the screen's pixels, overexposed or with a lamp mirrored in the glass. Pixels, not a file.
 */
import QRCode from "qrcode";
import type { Picture } from "../../shared/images/camera-clock/sharpen.ts";

export interface Shot {
  widthPx: number;
  heightPx: number;
  /** Side of one module in the picture, before the tilt, px. */
  modulePx: number;
  /** About an upright axis, degrees: the far side is smaller. */
  tiltDeg?: number;
  turnDeg?: number;
  /** Standard deviation of the blur, modules. */
  blurModules?: number;
  /** Standard deviation of the noise, of 255. */
  noise?: number;
  /** Depth of the screen's grid of pixels, 0 to 1; it has three and a third a module. */
  grid?: number;
  /** Brighter by so much; above some 1.6 the paper burns out. */
  exposure?: number;
  /** A mirrored lamp: brightest, of 255, in the middle of the left code. */
  glare?: number;
}

const QUIET = 4;
const SIDE = 21 + 2 * QUIET;
const GAP = 3;
const PAPER = 0.6;
const INK = 0.04;
const AROUND = 0.25;
/** How far the camera stands, modules. */
const DISTANCE = 110;

export function photographedClock(
  digits: readonly [string, string],
  shot: Shot,
  next: () => number,
): Picture {
  const { widthPx: width, heightPx: height, modulePx } = shot;
  const codes = digits.map(
    (text) =>
      QRCode.create([{ data: text, mode: "numeric" }], { version: 1, errorCorrectionLevel: "H" }).modules,
  );
  const [tilt, turn] = [((shot.tiltDeg ?? 0) * Math.PI) / 180, ((shot.turnDeg ?? 0) * Math.PI) / 180];
  const light = (x: number, y: number): number => {
    const left = x < SIDE ? 0 : 1;
    const column = x - left * (SIDE + GAP);
    if (x < 0 || y < 0 || y >= SIDE || column < 0 || column >= SIDE) return AROUND;
    const [i, j] = [Math.floor(y) - QUIET, Math.floor(column) - QUIET];
    const dark = i >= 0 && j >= 0 && i < 21 && j < 21 && codes[left]?.get(i, j);
    return dark ? INK : PAPER;
  };
  const grid = shot.grid ?? 0;
  let plane: Float32Array = new Float32Array(width * height);
  for (let py = 0; py < height; py++) {
    for (let px = 0; px < width; px++) {
      // Picture → screen: turned back, then the ray cut with the tilted plane.
      const [dx, dy] = [(px - width / 2) / modulePx, (py - height / 2) / modulePx];
      const u = dx * Math.cos(turn) + dy * Math.sin(turn);
      const v = dy * Math.cos(turn) - dx * Math.sin(turn);
      const s = (DISTANCE * u) / (DISTANCE * Math.cos(tilt) - u * Math.sin(tilt));
      const depth = 1 + (s * Math.sin(tilt)) / DISTANCE;
      const x = s + SIDE + GAP / 2;
      const y = v * depth + SIDE / 2;
      const rows = grid === 0 ? 1 : 1 - (grid * (1 + Math.sin(x * 20.9) * Math.sin(y * 20.9))) / 2;
      plane[py * width + px] = light(x, y) * rows;
    }
  }
  const radius = (shot.blurModules ?? 0) * modulePx;
  if (radius > 0) plane = blurred(plane, width, height, radius);
  const data = new Uint8ClampedArray(4 * plane.length);
  for (let i = 0; i < plane.length; i++) {
    // Two uniform numbers make a triangle, near enough to noise.
    const noise = (next() + next() - 1) * Math.sqrt(6) * (shot.noise ?? 0);
    const [x, y] = [(i % width) - width / 2 + 16 * modulePx, Math.floor(i / width) - height / 2];
    const lamp = (shot.glare ?? 0) * Math.exp(-(x * x + y * y) / (2 * (4 * modulePx) ** 2));
    const value = 255 * (plane[i] ?? 0) * (shot.exposure ?? 1) + noise + lamp;
    data.fill(value, 4 * i, 4 * i + 3);
    data[4 * i + 3] = 255;
  }
  return { data, width, height };
}

/** A Gaussian in two passes, cut at three standard deviations. */
function blurred(
  plane: Float32Array,
  width: number,
  height: number,
  sigma: number,
): Float32Array<ArrayBuffer> {
  const reach = Math.ceil(3 * sigma);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * sigma ** 2)),
  );
  const sum = weights.reduce((a, b) => a + b, 0);
  const pass = (
    from: Float32Array,
    step: number,
    count: number,
    line: (n: number) => number,
    lines: number,
  ) => {
    const to = new Float32Array(from.length);
    for (let n = 0; n < lines; n++) {
      const start = line(n);
      for (let i = 0; i < count; i++) {
        let value = 0;
        for (let k = -reach; k <= reach; k++) {
          const at = Math.min(count - 1, Math.max(0, i + k));
          value += (weights[k + reach] as number) * (from[start + at * step] as number);
        }
        to[start + i * step] = value / sum;
      }
    }
    return to;
  };
  return pass(
    pass(plane, 1, width, (n) => n * width, height),
    width,
    height,
    (n) => n,
    width,
  );
}
