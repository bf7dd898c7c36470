/** The choice between light and dark, for the pages of the public. */
import "../words/bundles/pieces.ts";
import { useWords } from "../words/words.ts";
import type { PaletteChoice } from "./use-palette.ts";

interface PaletteSelectProps {
  choice: PaletteChoice;
  choose: (choice: PaletteChoice) => void;
}

const CHOICES: readonly PaletteChoice[] = ["auto", "glare", "dusk"];

export function PaletteSelect({ choice, choose }: PaletteSelectProps) {
  const { t } = useWords();
  return (
    <select
      value={choice}
      aria-label={t("palette.label")}
      data-action="palette"
      onChange={(event) => choose(event.target.value as PaletteChoice)}
    >
      {CHOICES.map((one) => (
        <option key={one} value={one}>
          {t(`palette.${one}`)}
        </option>
      ))}
    </select>
  );
}
