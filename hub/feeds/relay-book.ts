/** Which relays have been heard lately, and how many boards they say are looking. Bounded. */
import type { RelayWord } from "./relay-word.ts";

/** A relay that has said nothing new for so long is not counted, ms. */
const SILENT_MS = 10_000;
const MOST_RELAYS = 200;

interface Heard {
  word: RelayWord;
  atMs: number;
  /** It came through the broker, whose password it knows: how slow it asks to be counts. */
  known: boolean;
}

export interface RelaySum {
  relays: number;
  boards: number;
  /** Since the newest word of any relay, ms; null when none is heard. */
  lastHeardMs: number | null;
}

export class RelayBook {
  private readonly heard = new Map<string, Heard>();

  constructor(private readonly monoMs: () => number = () => performance.now()) {}

  /** One that only repeats itself has said nothing. */
  note(word: RelayWord, known: boolean): void {
    const before = this.heard.get(word.id);
    if (before && before.word.beat === word.beat) return;
    if (!before && this.heard.size >= MOST_RELAYS) this.makeRoom(known);
    if (!before && this.heard.size >= MOST_RELAYS) return;
    this.heard.set(word.id, { word, atMs: this.monoMs(), known });
  }

  sum(): RelaySum {
    const now = this.monoMs();
    const live = this.live();
    return {
      relays: live.reduce((sum, { word }) => sum + word.relays, 0),
      boards: live.reduce((sum, { word }) => sum + word.boards, 0),
      lastHeardMs: live.length === 0 ? null : Math.min(...live.map(({ atMs }) => now - atMs)),
    };
  }

  /** The most that a relay asks for which is known to be one. */
  slow(): number {
    return Math.max(1, ...this.live().map(({ word, known }) => (known ? word.slow : 1)));
  }

  private live(): Heard[] {
    const now = this.monoMs();
    return [...this.heard.values()].filter(({ atMs }) => now - atMs < SILENT_MS);
  }

  /** Who is known goes before whoever only says to be a relay: anybody can, as often as they like. */
  private makeRoom(known: boolean): void {
    const now = this.monoMs();
    for (const [id, { atMs }] of this.heard) if (now - atMs >= SILENT_MS) this.heard.delete(id);
    if (!known || this.heard.size < MOST_RELAYS) return;
    for (const [id, heard] of this.heard) {
      if (heard.known) continue;
      this.heard.delete(id);
      return;
    }
  }
}
