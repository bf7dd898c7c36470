/** The board's only controls: light or dark, and the language. */
import { chooseLanguage } from "../parts/language.ts";
import { LanguageSelect } from "../parts/language-select.tsx";
import { PaletteSelect } from "../parts/palette-select.tsx";
import type { PaletteChoice } from "../parts/use-palette.ts";

interface BoardSettingsProps {
  palette: PaletteChoice;
  choosePalette: (choice: PaletteChoice) => void;
}

export function BoardSettings({ palette, choosePalette }: BoardSettingsProps) {
  return (
    <div className="board-settings no-print">
      <PaletteSelect choice={palette} choose={choosePalette} />
      <LanguageSelect choose={chooseLanguage} />
    </div>
  );
}
