/** Says what was just reported, and takes it back with one tap. */
import { useWords } from "../../words/words.ts";

export function UndoBar({ words, onUndo }: { words: string; onUndo: () => void }) {
  const { t } = useWords();
  return (
    <div className="rig-undo" role="status" data-undo>
      <span>{t("rig.undo.said", { what: words })}</span>
      <button type="button" data-action="undo" onClick={onUndo}>
        {t("rig.undo.do")}
      </button>
    </div>
  );
}
