/**
 * What this phone's owner has chosen, kept in localStorage: nothing here is lost work if a killed
 * browser forgets it. Rigs, reports and state live in IndexedDB.
 */
import { useSyncExternalStore } from "react";
import { type Locale, locales } from "../../words/words.ts";

export interface Prefs {
  locale: Locale | null;
  /** 1 for the plain size. */
  textScale: number;
  hand: "right" | "left";
  /** How much later a Bluetooth speaker sounds, ms: sounds are sent out earlier by it. */
  soundDelayMs: number;
  sound: boolean;
  voice: boolean;
  vibration: boolean;
  flash: boolean;
  /** Armed once on this device: a touch after a reload arms it again. */
  wasArmed: boolean;
}

export const TEXT_SCALES = [0.85, 1, 1.2, 1.4] as const;
const KEY = "noonfall.rig";
const DEFAULTS: Prefs = {
  locale: null,
  textScale: 1,
  hand: "right",
  soundDelayMs: 0,
  sound: true,
  voice: true,
  vibration: true,
  flash: true,
  wasArmed: false,
};

let current: Prefs | null = null;
const listeners = new Set<() => void>();

export function prefs(): Prefs {
  current ??= readPrefs(stored());
  return current;
}

export function setPrefs(change: Partial<Prefs>): void {
  current = { ...prefs(), ...change };
  try {
    localStorage.setItem(KEY, JSON.stringify(current));
  } catch {
    // A device that keeps nothing still does as it was told until it is closed.
  }
  for (const listener of listeners) listener();
}

export function usePrefs(): Prefs {
  return useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    prefs,
    prefs,
  );
}

/** The slowest speaker that is believed, ms. Common practice, no source. */
export const SOUND_DELAY_MOST_MS = 2000;

export function isSoundDelay(ms: number): boolean {
  return ms >= 0 && ms <= SOUND_DELAY_MOST_MS;
}

/** Whatever was stored, as preferences; what is not understood is as if never chosen. */
export function readPrefs(text: string | null): Prefs {
  let raw: Record<string, unknown> = {};
  try {
    const parsed: unknown = JSON.parse(text ?? "{}");
    if (typeof parsed === "object" && parsed !== null) raw = parsed as Record<string, unknown>;
  } catch {
    // Not ours, or half written.
  }
  const flag = (key: keyof Prefs): boolean =>
    typeof raw[key] === "boolean" ? (raw[key] as boolean) : (DEFAULTS[key] as boolean);
  const delay = raw.soundDelayMs;
  return {
    locale: locales.find((locale) => locale === raw.locale) ?? null,
    textScale: TEXT_SCALES.find((scale) => scale === raw.textScale) ?? DEFAULTS.textScale,
    hand: raw.hand === "left" ? "left" : "right",
    soundDelayMs: typeof delay === "number" && isSoundDelay(delay) ? delay : 0,
    sound: flag("sound"),
    voice: flag("voice"),
    vibration: flag("vibration"),
    flash: flag("flash"),
    wasArmed: flag("wasArmed"),
  };
}

function stored(): string | null {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}
