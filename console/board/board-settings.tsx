/** The board's only controls: light or dark, and the language. */
import type { PaletteChoice } from "../parts/use-palette.ts";
import { type Locale, locales, useWords } from "../words/words.ts";
import { chooseLanguage } from "./language.ts";

interface BoardSettingsProps {
  palette: PaletteChoice;
  choosePalette: (choice: PaletteChoice) => void;
}

/** Each language in its own words, so that its readers find it. */
const LANGUAGES: Record<Locale, string> = { en: "English", es: "Español", fr: "Français", ar: "العربية" };
const PALETTES: readonly PaletteChoice[] = ["auto", "glare", "dusk"];

export function BoardSettings({ palette, choosePalette }: BoardSettingsProps) {
  const { t, locale } = useWords();
  return (
    <div className="board-settings no-print">
      <label>
        <span className="only-read-aloud">{t("palette.label")}</span>
        <select value={palette} onChange={(event) => choosePalette(event.target.value as PaletteChoice)}>
          {PALETTES.map((choice) => (
            <option key={choice} value={choice}>
              {t(`palette.${choice}`)}
            </option>
          ))}
        </select>
      </label>
      <label>
        <span className="only-read-aloud">{t("language.label")}</span>
        <select value={locale} onChange={(event) => chooseLanguage(event.target.value as Locale)}>
          {locales.map((each) => (
            <option key={each} value={each} lang={each}>
              {LANGUAGES[each]}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}
