/** A page's own timers. */
import type { Timers } from "../../shared/link/session-types.ts";

export const pageTimers: Timers = {
  after(ms, task) {
    const id = setTimeout(task, ms);
    return () => clearTimeout(id);
  },
};
