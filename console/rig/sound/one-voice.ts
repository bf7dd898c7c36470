/**
 * Of several armed pages of one phone one sounds: the one that was shown or touched last. It says
 * so every second; a page that does not hear it any more sounds again by itself. One that holds a
 * rig which the other does not hold sounds as well.
 */
import { otherPages } from "../../link/other-pages.ts";

/** What a page that sounds tells the others. */
interface Claim {
  /** The higher, the later it was shown or touched: the phone's clock, but never below one heard. */
  used: number;
  rigIds: readonly string[];
}

const TOLD_MS = 1000;
const HOLDS_MS = 3500;
const EVENTS = ["visibilitychange", "pointerdown", "keydown"] as const;

export class OneVoice {
  private usedAt = 0;
  private newest = 0;
  private toldMs = Number.NEGATIVE_INFINITY;
  private quietUntilMs = Number.NEGATIVE_INFINITY;
  private rigIds: readonly string[] = [];
  private readonly others = otherPages<Claim>("sounds", (claim) => this.hear(claim));

  /** `quieted` is called when another page has begun to sound in place of this one. */
  constructor(private readonly quieted: () => void) {
    this.used();
    for (const event of EVENTS) document.addEventListener(event, this.used, true);
  }

  close(): void {
    for (const event of EVENTS) document.removeEventListener(event, this.used, true);
    this.others.close();
  }

  /** Whether this page, with these rigs, is the one that sounds now; called several times a second. */
  sounds(rigIds: readonly string[]): boolean {
    this.rigIds = rigIds;
    const now = performance.now();
    if (now < this.quietUntilMs) return false;
    if (now - this.toldMs >= TOLD_MS) {
      this.toldMs = now;
      this.others.tell({ used: this.usedAt, rigIds });
    }
    return true;
  }

  private readonly used = (): void => {
    if (document.visibilityState !== "visible") return;
    // A fraction, so that two pages never have the same.
    this.usedAt = Math.max(Date.now(), this.newest + 1) + Math.random();
    this.quietUntilMs = Number.NEGATIVE_INFINITY;
    this.toldMs = Number.NEGATIVE_INFINITY;
  };

  private hear({ used, rigIds }: Claim): void {
    this.newest = Math.max(this.newest, used);
    if (used < this.usedAt) {
      // It does not know of this one yet.
      this.toldMs = Number.NEGATIVE_INFINITY;
    } else if (this.rigIds.every((id) => rigIds.includes(id))) {
      this.quietUntilMs = performance.now() + HOLDS_MS;
      this.quieted();
    }
  }
}
