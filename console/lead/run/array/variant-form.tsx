/**
 * Which sky the plan goes by: every rig follows its list for it at once (S11: overcast keeps
 * filters on), or one rig alone. Of the run that is on; what makes things safe is the same under every
 * sky (S9).
 */
import { useState } from "react";
import { variantOf } from "../../../../shared/run/variant-of.ts";
import { SKIES, type Sky } from "../../../../shared/run/vocabulary.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useOrders } from "../../shell/use-order.tsx";
import type { RunNow } from "../../shell/use-run.ts";

/** `rigId`: of that rig alone; left out: of all. */
export function VariantForm({ now, rigId }: { now: RunNow; rigId?: string }) {
  const { give, waiting } = useOrders();
  // Chosen first, then said: no stray key changes a list in totality. Over when the sky is another.
  const [chosen, setChosen] = useState<{ sky: Sky; inPlaceOf: Sky } | null>(null);
  const { run } = now.run;
  const known = rigId === undefined ? run.variant.site : variantOf(run, rigId);
  const wanted = chosen?.inPlaceOf === known ? chosen.sky : known;
  const own = rigId === undefined ? Object.values(run.variant.rigs) : [];
  const others = own.filter((sky) => sky !== run.variant.site).length;
  return (
    <div className="array__sky" data-sky={known} data-sky-others={others}>
      <label>
        {t("lead.variant")}
        <select
          className="field"
          data-action={rigId === undefined ? "choose-variant" : "choose-variant-of-rig"}
          value={wanted}
          disabled={waiting !== null}
          onChange={(event) => {
            const sky = SKIES.find((one) => one === event.target.value);
            setChosen(sky ? { sky, inPlaceOf: known } : null);
          }}
        >
          {SKIES.map((sky) => (
            <option key={sky} value={sky}>
              {t(`lead.variant.${sky}`)}
            </option>
          ))}
        </select>
      </label>
      {wanted !== known && (
        <>
          <Button
            action="say-sky"
            disabled={waiting !== null}
            onClick={() =>
              void give({
                type: "chooseVariant",
                variant: wanted,
                rigIds: rigId === undefined ? null : [rigId],
              })
            }
          >
            {t("lead.variant.do", { sky: t(`lead.variant.${wanted}`) })}
          </Button>
          <p className="says">{t(rigId === undefined ? "lead.variant.says" : "lead.variant.saysOne")}</p>
        </>
      )}
      {wanted === known && others > 0 && <small>{t("lead.variant.others", { count: others })}</small>}
    </div>
  );
}
