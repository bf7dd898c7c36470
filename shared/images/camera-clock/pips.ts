/**
 * Where the count-in's pips lie in the sound of a video: their known times against the loudness at
 * their pitch, by correlation. It places the video on UTC to some ten milliseconds.
 *
 * Model: pips of 1 kHz, 100 ms on each second of a count-in and 500 ms on the second itself
 * (console/rig/sound); a phone within ten metres, whose sound comes up to 30 ms late. Wind and voices are
 * broad: what is as loud at 700 and 1400 Hz does not count. Neglected: echoes, and a camera that writes
 * sound and pictures apart (some ms, said in the bound).
 */

export interface Pip {
  /** Onset, UTC ms. */
  atUtcMs: number;
  lengthMs: number;
}

const PIP_HZ = 1000;
const BESIDE_HZ = [700, 1400];
/** Blocks of 1 ms, looked at ten at a time: fine in time, and 100 Hz wide. */
const WINDOW_MS = 10;
/** Silence that must stand before and after a pip for it to count, ms. */
const GAP_MS = 80;
/** Sound takes so long over ten metres, at 343 m/s. */
export const TRAVEL_MS = 30;
/** Phone's onset 10 ms, the fit 5 ms, sound against picture 20 ms: common practice, no source. */
const FIT_BOUND_MS = 35;
/** How much of a count-in must be there: fewer pips fit anywhere. */
const LEAST_PIPS = 4;
/** How clear the peak must be: of an ideal match, and above the next one elsewhere. */
const LEAST_PEAK = 0.35;
const LEAST_LEAD = 1.25;

/**
 * Loudness at the pips' pitch, one number a millisecond, 0 to 1: its share of the sound's own loudness there.
 * @param sampleRateHz a whole number, 4000 and above.
 */
export function pipLoudness(samples: Float32Array, sampleRateHz: number): Float32Array {
  const length = Math.floor((samples.length / sampleRateHz) * 1000);
  const tones = [PIP_HZ, ...BESIDE_HZ].map((hz) => toneSums(samples, sampleRateHz, hz, length));
  const loud = new Float32Array(length);
  for (let ms = 0; ms < length; ms++) {
    const [own = 0, low = 0, high = 0] = tones.map((tone) => tone[ms] ?? 0);
    const clear = Math.max(0, own - 1.5 * Math.max(low, high));
    loud[ms] = own > 0 ? clear / (own + low + high) : 0;
  }
  return quietened(loud, tones[0] as Float32Array);
}

/** A whisper of hiss is all pitch, too: what is far below the loudest does not count. */
function quietened(loud: Float32Array, own: Float32Array): Float32Array {
  let most = 0;
  for (const value of own) most = Math.max(most, value);
  const floor = most * 0.03;
  return loud.map((value, ms) => ((own[ms] ?? 0) > floor ? value : 0));
}

/** Amplitude of a tone in a window around each millisecond. */
function toneSums(samples: Float32Array, rate: number, hz: number, length: number): Float32Array {
  const re = new Float64Array(length + 1);
  const im = new Float64Array(length + 1);
  // The tone repeats after so many samples: no sine is worked out twice.
  const period = rate / greatestCommon(rate, hz);
  const wave = Array.from({ length: period }, (_, i) => (2 * Math.PI * hz * i) / rate);
  const [cos, sin] = [Float64Array.from(wave, Math.cos), Float64Array.from(wave, Math.sin)];
  let at = 0;
  for (let ms = 0; ms < length; ms++) {
    const end = Math.floor(((ms + 1) * rate) / 1000);
    let [x, y] = [0, 0];
    for (; at < end; at++) {
      const value = samples[at] ?? 0;
      x += value * (cos[at % period] ?? 0);
      y += value * (sin[at % period] ?? 0);
    }
    re[ms + 1] = (re[ms] ?? 0) + x;
    im[ms + 1] = (im[ms] ?? 0) + y;
  }
  const out = new Float32Array(length);
  for (let ms = 0; ms < length; ms++) {
    const from = Math.max(0, ms - WINDOW_MS / 2);
    const to = Math.min(length, ms + WINDOW_MS / 2);
    out[ms] = Math.hypot((re[to] ?? 0) - (re[from] ?? 0), (im[to] ?? 0) - (im[from] ?? 0));
  }
  return out;
}

function greatestCommon(a: number, b: number): number {
  return b === 0 ? a : greatestCommon(b, a % b);
}

export interface PipMatch {
  /** UTC at which the sound begins, earliest; it lies in the `holdMs` after. */
  utcMs: number;
  holdMs: number;
  boundMs: number;
  /** Pips that fall into the recording. */
  pips: number;
  /** How well they fit, 0 to 1, and how well they fit anywhere else, on the same scale. */
  peak: number;
  next: number;
  /** The correlation about its peak, for a picture: ms from the peak, and value. */
  curve: { ms: number; value: number }[];
}

/**
 * @param loudness of pipLoudness.
 * @param startUtcMs where the recording is believed to begin; `reachMs` to both sides it is looked for.
 * @param clockBoundMs of the phone that gave the pips, against UTC.
 * @returns null where no place stands out.
 */
export function matchPips(
  loudness: Float32Array,
  pips: readonly Pip[],
  startUtcMs: number,
  reachMs: number,
  clockBoundMs: number,
): PipMatch | null {
  const sums = new Float64Array(loudness.length + 1);
  for (let ms = 0; ms < loudness.length; ms++) sums[ms + 1] = (sums[ms] ?? 0) + (loudness[ms] ?? 0);
  const mean = (from: number, to: number): number =>
    to > from ? ((sums[to] ?? 0) - (sums[from] ?? 0)) / (to - from) : 0;
  const relative = pips.map((pip) => ({
    from: Math.round(pip.atUtcMs - startUtcMs),
    lengthMs: pip.lengthMs,
  }));
  /** Mean over the pips inside: sound in them less sound around them. */
  const fitAt = (lag: number): { value: number; inside: number } => {
    let [sum, inside] = [0, 0];
    for (const { from, lengthMs } of relative) {
      const start = from - lag;
      const end = start + lengthMs;
      if (start - GAP_MS < 0 || end + GAP_MS > loudness.length) continue;
      inside++;
      const around = Math.max(mean(start - GAP_MS, start), mean(end, end + GAP_MS));
      sum += mean(start, end) - around;
    }
    return { value: inside >= LEAST_PIPS ? sum / inside : 0, inside };
  };
  let best = { lag: 0, value: 0, inside: 0 };
  const coarse: { lag: number; worth: number }[] = [];
  for (let lag = -reachMs; lag <= reachMs; lag += 10) {
    const { value, inside } = fitAt(lag);
    // More pips that fit as well are worth more: a lone count-in fits wherever another one is.
    const worth = value * Math.sqrt(inside);
    if (worth > 0) coarse.push({ lag, worth });
    if (worth > best.value * Math.sqrt(best.inside)) best = { lag, value, inside };
  }
  for (let lag = best.lag - 15; lag <= best.lag + 15; lag++) {
    const { value, inside } = fitAt(lag);
    if (value > best.value && inside >= LEAST_PIPS) best = { lag, value, inside };
  }
  const elsewhere = Math.max(
    0,
    ...coarse.filter(({ lag }) => Math.abs(lag - best.lag) > 300).map(({ worth }) => worth),
  );
  const next = elsewhere / Math.sqrt(Math.max(1, best.inside));
  if (best.value < LEAST_PEAK || best.value < LEAST_LEAD * next) return null;
  const curve: PipMatch["curve"] = [];
  for (let ms = -400; ms <= 400; ms += 5) curve.push({ ms, value: fitAt(best.lag + ms).value });
  return {
    // What is heard comes late: the recording began up to TRAVEL_MS later than the pips say.
    utcMs: startUtcMs + best.lag,
    holdMs: TRAVEL_MS,
    boundMs: FIT_BOUND_MS + clockBoundMs,
    pips: best.inside,
    peak: best.value,
    next,
    curve,
  };
}
