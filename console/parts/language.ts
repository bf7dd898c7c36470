/**
 * The language of a page: the one chosen on this device before, else the first of its reader's
 * that we have. English is shown until a catalogue has come.
 */
import { type Locale, loadWords, locales, preferredLocale } from "../words/words.ts";
import { loadArabicFace } from "./load-arabic-face.ts";

/** Each language's own name for itself, so that its readers find it. */
export const LANGUAGE_NAMES: Record<Locale, string> = {
  en: "English",
  es: "Español",
  fr: "Français",
  ar: "العربية",
};

const KEY = "noonfall.language";

export function startLanguage(): void {
  void showLanguage(stored() ?? preferredLocale(navigator.languages));
}

export function chooseLanguage(locale: Locale): void {
  try {
    localStorage.setItem(KEY, locale);
  } catch {
    // A device that keeps nothing shows it until it is closed.
  }
  void showLanguage(locale);
}

/**
 * A catalogue that cannot be fetched leaves the words that are shown; the choice can be made again
 * when the hub is near.
 */
export async function showLanguage(locale: Locale): Promise<void> {
  try {
    loadArabicFace(locale);
    await loadWords(locale);
  } catch (cause) {
    console.warn(`the words in "${locale}" could not be fetched`, cause);
  }
}

function stored(): Locale | null {
  try {
    const value = localStorage.getItem(KEY);
    return locales.find((locale) => locale === value) ?? null;
  } catch {
    return null;
  }
}
