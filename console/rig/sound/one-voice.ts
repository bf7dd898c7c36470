/**
 * Of several armed pages of one phone one sounds: the one that was shown or touched last. It says
 * so every second; a page that does not hear it any more sounds again by itself. One that holds a
 * rig which the other does not hold sounds as well.
 */
import { otherPages } from "../../link/other-pages.ts";

/** What a page that sounds tells the others. */
interface Claim {
  /** When it was shown or touched last, by the phone's clock, ms. */
  sinceMs: number;
  rigIds: readonly string[];
}

const TOLD_MS = 1000;
const HOLDS_MS = 3500;
const EVENTS = ["visibilitychange", "pointerdown", "keydown"] as const;

export class OneVoice {
  private sinceMs = 0;
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
    const now = Date.now();
    if (now < this.quietUntilMs) return false;
    if (now - this.toldMs >= TOLD_MS) {
      this.toldMs = now;
      this.others.tell({ sinceMs: this.sinceMs, rigIds });
    }
    return true;
  }

  private readonly used = (): void => {
    if (document.visibilityState !== "visible") return;
    // A fraction, so that two pages never have the same.
    this.sinceMs = Date.now() + Math.random();
    this.quietUntilMs = Number.NEGATIVE_INFINITY;
    this.toldMs = Number.NEGATIVE_INFINITY;
  };

  private hear({ sinceMs, rigIds }: Claim): void {
    if (sinceMs < this.sinceMs) {
      // It does not know of this one yet.
      this.toldMs = Number.NEGATIVE_INFINITY;
    } else if (this.rigIds.every((id) => rigIds.includes(id))) {
      this.quietUntilMs = Date.now() + HOLDS_MS;
      this.quieted();
    }
  }
}
