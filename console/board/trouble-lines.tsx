/** What stands against what arrives here, and by which key it was checked. */
import type { BoardClientView } from "../../shared/link/board-client.ts";
import { AlertLine } from "../parts/alert-line.tsx";
import { useWords } from "../words/words.ts";

const LINES = {
  altered: "forged",
  "other site": "forged",
  older: "forged",
  time: "time",
  uncheckable: "uncheckable",
  "own clock": "ownClock",
} as const;

/** Something comes, and it is not the site's word: that says more than that nothing true comes. */
export function isForged(trouble: BoardClientView["trouble"]): boolean {
  return trouble !== null && LINES[trouble] === "forged";
}

/** `empty`: nothing true has come yet. */
export function TroubleLine({
  trouble,
  empty = false,
}: Pick<BoardClientView, "trouble"> & { empty?: boolean }) {
  const { t } = useWords();
  if (trouble === null) return null;
  const line = LINES[trouble];
  return (
    <div data-trouble={trouble}>
      <AlertLine
        priority="caution"
        title={t(`board.trouble.${line}`)}
        detail={
          empty && line === "forged" ? t("board.trouble.forged.empty") : t(`board.trouble.${line}.detail`)
        }
        announce
      />
    </div>
  );
}

export function CheckedLine({ checked }: Pick<BoardClientView, "checked">) {
  const { t } = useWords();
  return checked === "first heard" ? <p className="board-unchecked">{t("board.unchecked")}</p> : null;
}
