/** The cautions that every public page carries (S13), and who has the last word. */
import { useWords, type WordKey } from "../words/words.ts";

const CAUTIONS: readonly WordKey[] = [
  "board.caution.optics",
  "board.caution.children",
  "board.caution.lookDown",
  "board.caution.noFit",
  "board.caution.local",
];

export function Cautions() {
  const { t } = useWords();
  return (
    <ul className="board-cautions">
      {CAUTIONS.map((key) => (
        <li key={key}>{t(key)}</li>
      ))}
    </ul>
  );
}
