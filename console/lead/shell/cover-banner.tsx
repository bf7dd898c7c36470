/** S7 while it stands: said on every screen of the console, released only by holding. */
import { isCoveredSince } from "../../../shared/run/views/covered.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import { HoldButton } from "../../parts/hold-button.tsx";
import { clockText } from "../../parts/time-format.ts";
import { t } from "../../words/words.ts";
import { SoundControl } from "./alerts/sound.tsx";
import { useLead } from "./lead-context.ts";
import { personOf } from "./person-of.ts";
import { namesOf } from "./say/who.ts";
import { useOrders } from "./use-order.tsx";
import { type RunNow, useRun } from "./use-run.ts";

export function CoverBanner() {
  const { view } = useLead();
  const { give } = useOrders();
  const now = useRun();
  if (!view.cover) return null;
  const cover = view.state?.cover;
  return (
    <div className="cover-banner" data-cover="standing">
      <AlertLine
        priority="danger"
        announce
        title={`${t("cover.lenses")} ${t("cover.glasses")}`}
        detail={
          <>
            {cover
              ? t("lead.cover.by", {
                  who: personOf(cover.by),
                  time: `${clockText(cover.sinceUtcMs)} ${t("time.utc")}`,
                })
              : t("lead.cover.said")}{" "}
            {now && cover && <Covered now={now} sinceUtcMs={cover.sinceUtcMs} />}
          </>
        }
      >
        <SoundControl />
        <div className="cover-banner__release" data-action="release-cover">
          <HoldButton label={t("lead.cover.release")} onHeld={() => void give({ type: "releaseCover" })} />
        </div>
      </AlertLine>
    </div>
  );
}

/** How many rigs somebody has said to be covered since, and whose are missing. */
function Covered({ now, sinceUtcMs }: { now: RunNow; sinceUtcMs: number }) {
  const { rigs } = now.run;
  const missing = rigs.filter((status) => !isCoveredSince(status, sinceUtcMs));
  const count = rigs.length - missing.length;
  return (
    <strong data-covered-count={count} data-covered-of={rigs.length}>
      {t("lead.cover.count", { count, all: rigs.length })}{" "}
      {missing.length > 0 && t("lead.cover.missing", { who: namesOf(missing) })}
    </strong>
  );
}
