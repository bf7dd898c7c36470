/** What stands over a sheet on the screen and never on paper: print it, or leave it. */
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";

export function SheetControls({ close }: { close: () => void }) {
  return (
    <div className="sheet__controls no-print">
      <Button action="print" kind="main" onClick={() => window.print()}>
        {t("lead.sheet.print")}
      </Button>
      <Button action="close-sheet" onClick={close}>
        {t("lead.close")}
      </Button>
    </div>
  );
}
