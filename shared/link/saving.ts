/**
 * Writes to the device what a reload must find (SPEC L12): the state at most once a second, the
 * clock every few seconds, and at once what must be obeyed though the page is opened anew in this
 * very second (S5, S7, S8). What could not be written is tried again.
 */
import type { MonoMs } from "../time/instants.ts";
import type { SavedState, StorePort } from "./session-types.ts";
import type { SiteClock } from "./site-clock.ts";

const STATE_MS = 1000;
const CLOCK_MS = 5000;

export class Saving {
  private dirty = false;
  private stateDue = 0;
  private clockDue = 0;

  /** @param state what is known now; null before anything is */
  constructor(
    private readonly store: StorePort,
    private readonly clock: SiteClock,
    private readonly state: () => SavedState | null,
  ) {}

  noteChange(): void {
    this.dirty = true;
  }

  now(mono: MonoMs): void {
    this.dirty = true;
    this.stateDue = 0;
    this.tick(mono);
  }

  tick(mono: MonoMs): void {
    const state = this.dirty && mono >= this.stateDue ? this.state() : null;
    if (state) {
      this.dirty = false;
      this.stateDue = mono + STATE_MS;
      void this.store.saveState(state).catch(() => {
        this.dirty = true;
      });
    }
    if (mono < this.clockDue && !this.clock.unsaved) return;
    const clock = this.clock.save();
    if (clock === null) return;
    // The first reading is saved as soon as it is there: the page may be opened anew at any time.
    this.clockDue = mono + CLOCK_MS;
    void this.store.saveClock(clock).catch(() => undefined);
  }
}
