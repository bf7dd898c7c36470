/** The board's only controls: sound for the field, light or dark, and the language. */
import type { ReactNode } from "react";
import { chooseLanguage } from "../parts/language.ts";
import { LanguageSelect } from "../parts/language-select.tsx";
import { PaletteSelect } from "../parts/palette-select.tsx";
import type { PaletteChoice } from "../parts/use-palette.ts";

interface BoardSettingsProps {
  palette: PaletteChoice;
  choosePalette: (choice: PaletteChoice) => void;
  children: ReactNode;
}

export function BoardSettings({ palette, choosePalette, children }: BoardSettingsProps) {
  return (
    <div className="board-settings no-print">
      {children}
      <PaletteSelect choice={palette} choose={choosePalette} />
      <LanguageSelect choose={chooseLanguage} />
    </div>
  );
}
