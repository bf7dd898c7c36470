/** Why the hub refused the last order; it stays until the next order or until it is put away. */
import { AlertLine } from "../../parts/alert-line.tsx";
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";
import { refusalText } from "./problem-text.ts";
import { useOrders } from "./use-order.tsx";

export function RefusalLine() {
  const { refusal, refused, dismiss } = useOrders();
  if (!refusal || !refused) return null;
  // What has to be known by everybody at once and did not go out is said by voice.
  const unheard = refusal.code === "internal" && (refused === "cover" || refused === "call");
  return (
    <div className="refusal-line" data-refusal={refusal.rule ?? refusal.code}>
      <AlertLine
        priority="caution"
        announce
        title={t("lead.refused", { what: t(`lead.order.${refused}`) })}
        detail={unheard ? t("lead.refused.byVoice") : refusalText(refusal)}
      >
        <Button action="dismiss-refusal" onClick={dismiss}>
          {t("lead.dismiss")}
        </Button>
      </AlertLine>
    </div>
  );
}
