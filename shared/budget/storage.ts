/**
 * What is written to a card, and when it is full. Gigabytes are 10⁹ bytes, as cards are sold.
 *
 * Orders of size (from memory, makers differ): a raw frame of 24 megapixels 25–30 MB, of 45
 * megapixels 45–55 MB. About 50 GB for two hours of video (55 Mbit/s): common practice, no source.
 */

/** One stretch of shooting: frames at a steady rate, or video. */
export interface Take {
  fromMs: number;
  untilMs: number;
  /** Bytes a second while it lasts. */
  bytesPerS: number;
  /** Frames a second; 0 for video. */
  framesPerS: number;
}

export function framesTake(fromMs: number, untilMs: number, framesPerS: number, frameMB: number): Take {
  return { fromMs, untilMs, framesPerS, bytesPerS: framesPerS * frameMB * 1e6 };
}

export function videoTake(fromMs: number, untilMs: number, mbitPerS: number): Take {
  return { fromMs, untilMs, framesPerS: 0, bytesPerS: (mbitPerS / 8) * 1e6 };
}

/** A handful of frames at one instant, as a bracket or a single exposure writes them. */
export function burstTake(atMs: number, frames: number, frameMB: number, lastsS = 1): Take {
  const s = Math.max(0.001, lastsS);
  return framesTake(atMs, atMs + s * 1000, frames / s, frameMB);
}

export interface CardUse {
  usedGB: number;
  frames: number;
  /** When it is full, on the takes' scale; null when it is not. */
  fullAtMs: number | null;
}

/** Takes may overlap (a still camera that records video meanwhile): bytes add up. */
export function cardUse(takes: readonly Take[], freeGB: number): CardUse {
  const edges = [...new Set(takes.flatMap(({ fromMs, untilMs }) => [fromMs, untilMs]))].sort((a, b) => a - b);
  let bytes = 0;
  let fullAtMs: number | null = null;
  for (let i = 0; i + 1 < edges.length; i++) {
    const [from, until] = [edges[i] as number, edges[i + 1] as number];
    let rate = 0;
    for (const take of takes) if (take.fromMs <= from && take.untilMs >= until) rate += take.bytesPerS;
    const more = (rate * (until - from)) / 1000;
    if (fullAtMs === null && rate > 0 && bytes + more > freeGB * 1e9)
      fullAtMs = from + ((freeGB * 1e9 - bytes) / rate) * 1000;
    bytes += more;
  }
  const frames = takes.reduce(
    (sum, take) => sum + (take.framesPerS * (take.untilMs - take.fromMs)) / 1000,
    0,
  );
  return { usedGB: bytes / 1e9, frames: Math.round(frames), fullAtMs };
}

/** How many whole frames a card takes. */
export function framesOnCard(freeGB: number, frameMB: number): number {
  return Math.floor((freeGB * 1000) / frameMB + 1e-9);
}

/**
 * How long a burst runs at full rate before the camera's buffer is full, s; Infinity where the card
 * keeps up. `bufferFrames` is how many frames the camera holds, `cardMBPerS` what it writes meanwhile.
 */
export function burstS(
  framesPerS: number,
  bufferFrames: number,
  frameMB: number,
  cardMBPerS: number,
): number {
  const filling = framesPerS - cardMBPerS / frameMB;
  return filling > 0 ? bufferFrames / filling : Number.POSITIVE_INFINITY;
}
