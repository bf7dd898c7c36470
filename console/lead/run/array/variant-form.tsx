/**
 * Which sky the plan goes by: every rig follows its list for it at once (S11: overcast keeps
 * filters on). Of the run that is on; what makes things safe is the same under every sky (S9).
 */
import { VARIANTS } from "../../../../shared/plan/model/vocabulary.ts";
import { currentRun } from "../../../../shared/run/run-time.ts";
import { t } from "../../../words/words.ts";
import { useLead } from "../../shell/lead-context.ts";
import { useOrders } from "../../shell/use-order.tsx";

const SKIES = ["clear", ...VARIANTS] as const;

export function VariantForm() {
  const { session, view } = useLead();
  const { give, waiting } = useOrders();
  const { state } = view;
  if (!state) return null;
  const { site } = currentRun(state, session.now()).variant;
  return (
    <div className="shift-form array__sky">
      <label>
        {t("lead.variant")}
        <select
          className="field"
          data-action="choose-variant"
          value={site}
          disabled={waiting !== null}
          onChange={(event) => {
            const variant = SKIES.find((one) => one === event.target.value);
            if (variant) void give({ type: "chooseVariant", variant, rigIds: null });
          }}
        >
          {SKIES.map((sky) => (
            <option key={sky} value={sky}>
              {t(`lead.variant.${sky}`)}
            </option>
          ))}
        </select>
      </label>
      <p className="says">{t("lead.variant.says")}</p>
    </div>
  );
}
