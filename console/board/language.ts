/** The board's language: chosen here before, else the reader's first that exists. */
import { loadArabicFace } from "../parts/load-arabic-face.ts";
import { type Locale, loadWords, locales, preferredLocale } from "../words/words.ts";

const KEY = "noonfall.language";

export function startLanguage(): void {
  void show(stored() ?? preferredLocale(navigator.languages));
}

export function chooseLanguage(locale: Locale): void {
  try {
    localStorage.setItem(KEY, locale);
  } catch {
    // A device that keeps nothing shows it until it is closed.
  }
  void show(locale);
}

/** A catalogue that cannot be fetched leaves the language that is shown. */
async function show(locale: Locale): Promise<void> {
  try {
    await Promise.all([loadWords(locale), loadArabicFace(locale)]);
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
