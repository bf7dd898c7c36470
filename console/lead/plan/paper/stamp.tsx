/**
 * The line that no sheet may be without: of which plan and for which place it is. Times hold there
 * and nowhere else, and an older sheet is worse than none.
 */
import type { SiteState } from "../../../../shared/run/state.ts";
import { t } from "../../../words/words.ts";
import { dateText } from "../../shell/date-text.ts";
import { kindWords } from "../../shell/run-header.tsx";

export function Stamp({ state }: { state: SiteState }) {
  const { plan } = state;
  const { site } = plan;
  return (
    <p className="stamp" data-stamp={plan.revision}>
      <strong className="stamp__plan">{t("paper.plan", { revision: plan.revision })}</strong>
      <span>
        <strong>{t("paper.onlyAt", { site: site?.name ?? "—" })}</strong>
        {site && (
          <>
            {" "}
            <span className="figures" dir="ltr">
              {`${degrees(site.latDeg, "N", "S")} ${degrees(site.lonDeg, "E", "W")}`}
            </span>
          </>
        )}
        {" · "}
        <bdi>{plan.eclipse ? dateText(plan.eclipse) : ""}</bdi>
        {" · "}
        {kindWords(state)}
      </span>
    </p>
  );
}

/** Letters of the compass as on any map, the same in every language. */
function degrees(deg: number, positive: string, negative: string): string {
  return `${Math.abs(deg).toFixed(4)}° ${deg < 0 ? negative : positive}`;
}
