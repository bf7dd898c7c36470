/** S7 while it stands: said on every screen of the console, released only by holding. */
import { AlertLine } from "../../parts/alert-line.tsx";
import { HoldButton } from "../../parts/hold-button.tsx";
import { clockText } from "../../parts/time-format.ts";
import { t } from "../../words/words.ts";
import { useLead } from "./lead-context.ts";
import { personOf } from "./person-of.ts";
import { useOrders } from "./use-order.tsx";

export function CoverBanner() {
  const { view } = useLead();
  const { give } = useOrders();
  if (!view.cover) return null;
  const cover = view.state?.cover;
  return (
    <div className="cover-banner" data-cover="standing">
      <AlertLine
        priority="danger"
        announce
        title={`${t("cover.lenses")} ${t("cover.glasses")}`}
        detail={
          cover
            ? t("lead.cover.by", {
                who: personOf(cover.by),
                time: `${clockText(cover.sinceUtcMs)} ${t("time.utc")}`,
              })
            : t("lead.cover.said")
        }
      >
        <div className="cover-banner__release" data-action="release-cover">
          <HoldButton label={t("lead.cover.release")} onHeld={() => void give({ type: "releaseCover" })} />
        </div>
      </AlertLine>
    </div>
  );
}
