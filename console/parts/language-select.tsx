/** The choice of language, each in its own words. */
import "../words/bundles/pieces.ts";
import { type Locale, locales, useWords } from "../words/words.ts";
import { LANGUAGE_NAMES } from "./language.ts";

export function LanguageSelect({ choose }: { choose: (locale: Locale) => void }) {
  const { t, locale } = useWords();
  return (
    <select
      value={locale}
      aria-label={t("language.label")}
      data-action="language"
      onChange={(event) => choose(event.target.value as Locale)}
    >
      {locales.map((each) => (
        <option key={each} value={each} lang={each}>
          {LANGUAGE_NAMES[each]}
        </option>
      ))}
    </select>
  );
}
