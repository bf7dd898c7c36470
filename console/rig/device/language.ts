/** The language of this phone: the one chosen on it, else the first of its owner's that we have. */
import { loadArabicFace } from "../../parts/load-arabic-face.ts";
import { type Locale, loadWords, preferredLocale } from "../../words/words.ts";
import { prefs, setPrefs } from "./prefs.ts";

/** The language's own name for itself. */
export const LANGUAGE_NAMES: Record<Locale, string> = {
  en: "English",
  es: "Español",
  fr: "Français",
  ar: "العربية",
};

export async function startWords(): Promise<void> {
  await show(prefs().locale ?? preferredLocale(navigator.languages));
}

export async function chooseLanguage(locale: Locale): Promise<void> {
  await show(locale);
  setPrefs({ locale });
}

async function show(locale: Locale): Promise<void> {
  try {
    await loadWords(locale);
    await loadArabicFace(locale);
  } catch {
    // The words shown before stay; the choice can be made again when the hub is near.
  }
}
