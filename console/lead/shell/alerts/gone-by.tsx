/** Danger that was over before any lead had seen it: it is said until one has. */
import type { KnownAlert } from "../../../../shared/run/state.ts";
import { AlertLine } from "../../../parts/alert-line.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import { shortLength } from "../short-length.ts";
import type { RunNow } from "../use-run.ts";
import { alertText } from "./alert-text.ts";
import { useAnswer } from "./answers-given.tsx";

export function goneBy({ state }: Pick<RunNow, "state">): KnownAlert[] {
  return Object.values(state.alerts).filter(({ overUtcMs }) => overUtcMs !== null);
}

export function GoneBy({ now }: { now: RunNow }) {
  const answer = useAnswer();
  return goneBy(now).map(({ id, cause, rigId, sinceUtcMs, overUtcMs }) => {
    const rig = now.state.plan.rigs.find((one) => one.id === rigId)?.name ?? "";
    return (
      <div key={id} data-gone-by={cause} data-rig={rigId ?? ""}>
        <AlertLine
          priority="caution"
          title={t("lead.alert.over", { what: alertText(cause, rig) })}
          detail={t("lead.alert.overSays", {
            length: shortLength((overUtcMs ?? sinceUtcMs) - sinceUtcMs),
            ago: shortLength(now.now - (overUtcMs ?? now.now)),
          })}
        >
          <Button action="seen-alert" onClick={() => void answer({ alertIds: [id] }, "seen")}>
            {t("lead.alert.seen")}
          </Button>
        </AlertLine>
      </div>
    );
  });
}
