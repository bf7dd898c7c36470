/**
 * One-time codes by which a lead who is signed in lets another device in, also while strangers
 * keep the PIN's door busy. A code is digits, so that every keyboard has it; it is good for a few
 * minutes and once. Kept in memory only: a restart ends them.
 *
 * Guessing: of 10^8 codes at most MOST_OPEN are good, and WRONG_MOST wrong ones end them all, so
 * the chance is at most 5 · 1000 / 10^8 = 5e-5 for each time that a lead asks for codes.
 */
import { createHash, randomInt, timingSafeEqual } from "node:crypto";
import { CODE_DIGITS } from "../../shared/fields/sign-in.ts";

/** How long a code is good, ms. */
export const CODE_LIFE_MS = 5 * 60_000;
/** Codes at one time; the oldest goes. */
const MOST_OPEN = 5;
const WRONG_MOST = 1000;

interface OpenCode {
  digest: Buffer;
  untilMono: number;
}

export class EntryCodes {
  private open: OpenCode[] = [];
  private wrong = 0;

  /** `mono` never goes back and is not moved by setting a clock, ms. */
  constructor(private readonly mono: () => number = () => performance.now()) {}

  make(): string {
    const code = String(randomInt(0, 10 ** CODE_DIGITS)).padStart(CODE_DIGITS, "0");
    const standing = this.standing();
    if (standing.length === 0) this.wrong = 0;
    const made = { digest: digest(code), untilMono: this.mono() + CODE_LIFE_MS };
    this.open = [...standing, made].slice(-MOST_OPEN);
    return code;
  }

  /** Whether it is good; from then on it is not any more. */
  take(code: string): boolean {
    const asked = digest(code);
    this.open = this.standing();
    const found = this.open.find((one) => timingSafeEqual(one.digest, asked));
    if (found) this.open = this.open.filter((one) => one !== found);
    else if (++this.wrong >= WRONG_MOST) this.open = [];
    return found !== undefined;
  }

  private standing(): OpenCode[] {
    return this.open.filter(({ untilMono }) => this.mono() < untilMono);
  }
}

function digest(code: string): Buffer {
  return createHash("sha256").update(code).digest();
}
