/** What happens to a page that its link must know: it is shown again, the network comes back, the device slept. */
import type { ClockReading } from "../../shared/link/session-types.ts";

declare global {
  interface Window {
    /** Real UTC in ms with fraction, and how far it may be off the hub and off UTC, ms. */
    siteClock?: { now(): number; boundMs(): number; utcBoundMs(): number };
  }
}

/** `window.siteClock`, for programs that look at the page. */
export function offerClock(read: () => ClockReading): void {
  window.siteClock = {
    now: () => read().utcMs,
    boundMs: () => read().boundMs,
    utcBoundMs: () => read().utcBoundMs,
  };
}

interface Sleeper {
  wake(): void;
  noteSuspension(): void;
}

/** Tells a link what happens to its page; the answer ends that. */
export function followPage(sleeper: Sleeper): () => void {
  const wake = (): void => {
    if (document.visibilityState === "visible") sleeper.wake();
  };
  const resume = (): void => sleeper.noteSuspension();
  document.addEventListener("visibilitychange", wake);
  window.addEventListener("pageshow", wake);
  window.addEventListener("online", wake);
  document.addEventListener("resume", resume);
  return () => {
    document.removeEventListener("visibilitychange", wake);
    window.removeEventListener("pageshow", wake);
    window.removeEventListener("online", wake);
    document.removeEventListener("resume", resume);
  };
}
