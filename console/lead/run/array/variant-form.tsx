/**
 * Which sky the plan goes by: every rig follows its list for it at once (S11: overcast keeps
 * filters on). Of the run that is on; what makes things safe is the same under every sky (S9).
 */
import { useState } from "react";
import { SKIES, type Sky } from "../../../../shared/run/vocabulary.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useOrders } from "../../shell/use-order.tsx";
import { useRun } from "../../shell/use-run.ts";

export function VariantForm() {
  const now = useRun();
  const { give, waiting } = useOrders();
  // Chosen first, then said: no stray key changes a list in totality. Over when the sky is another.
  const [chosen, setChosen] = useState<{ sky: Sky; inPlaceOf: Sky } | null>(null);
  if (!now) return null;
  const { site } = now.run.run.variant;
  const wanted = chosen?.inPlaceOf === site ? chosen.sky : site;
  return (
    <div className="shift-form array__sky">
      <label>
        {t("lead.variant")}
        <select
          className="field"
          data-action="choose-variant"
          value={wanted}
          disabled={waiting !== null}
          onChange={(event) => {
            const sky = SKIES.find((one) => one === event.target.value);
            setChosen(sky ? { sky, inPlaceOf: site } : null);
          }}
        >
          {SKIES.map((sky) => (
            <option key={sky} value={sky}>
              {t(`lead.variant.${sky}`)}
            </option>
          ))}
        </select>
      </label>
      {wanted !== site && (
        <Button
          action="say-sky"
          disabled={waiting !== null}
          onClick={() => void give({ type: "chooseVariant", variant: wanted, rigIds: null })}
        >
          {t("lead.variant.do", { sky: t(`lead.variant.${wanted}`) })}
        </Button>
      )}
      <p className="says">{t("lead.variant.says")}</p>
    </div>
  );
}
