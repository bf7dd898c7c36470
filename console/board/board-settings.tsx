/** The board's only controls: light or dark, and the language. */
import "../words/bundles/pieces.ts";
import { chooseLanguage } from "../parts/language.ts";
import { LanguageSelect } from "../parts/language-select.tsx";
import type { PaletteChoice } from "../parts/use-palette.ts";
import { useWords } from "../words/words.ts";

interface BoardSettingsProps {
  palette: PaletteChoice;
  choosePalette: (choice: PaletteChoice) => void;
}

const PALETTES: readonly PaletteChoice[] = ["auto", "glare", "dusk"];

export function BoardSettings({ palette, choosePalette }: BoardSettingsProps) {
  const { t } = useWords();
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
      <LanguageSelect choose={chooseLanguage} />
    </div>
  );
}
