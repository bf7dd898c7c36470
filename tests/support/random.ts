/** Seeded random numbers: mulberry32, 32 bits of state; the same seed gives the same sequence. */
export class Random {
  constructor(private state: number) {}

  next(): number {
    this.state = (this.state + 0x6d2b79f5) | 0;
    let t = Math.imul(this.state ^ (this.state >>> 15), 1 | this.state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }

  between(least: number, most: number): number {
    return least + (most - least) * this.next();
  }

  /** A whole number of 0 … n − 1. */
  below(n: number): number {
    return Math.floor(this.next() * n);
  }

  chance(share: number): boolean {
    return this.next() < share;
  }

  of<T>(items: readonly T[]): T {
    return items[this.below(items.length)] as T;
  }

  /** One of weighted items. */
  weighted<T>(items: readonly (readonly [number, T])[]): T {
    let left = this.next() * items.reduce((sum, [weight]) => sum + weight, 0);
    for (const [weight, item] of items) {
      left -= weight;
      if (left < 0) return item;
    }
    return (items.at(-1) as readonly [number, T])[1];
  }
}

/** The plain sequence of a seed, each below 1. */
export function numbersFrom(seed: number): () => number {
  const random = new Random(seed);
  return () => random.next();
}
