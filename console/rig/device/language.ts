/** The language of this phone, kept with what else its owner has chosen. */
import { showLanguage } from "../../parts/language.ts";
import { type Locale, preferredLocale } from "../../words/words.ts";
import { prefs, setPrefs } from "./prefs.ts";

export async function startWords(): Promise<void> {
  await showLanguage(prefs().locale ?? preferredLocale(navigator.languages));
}

export async function chooseLanguage(locale: Locale): Promise<void> {
  await showLanguage(locale);
  setPrefs({ locale });
}
