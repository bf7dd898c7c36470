/**
 * A cue of a rig whose operator is gone: whoever stands there in their place says by holding that it
 * is done, or that it is left out. It is a report like the operator's, in the lead's name; like theirs
 * it cannot say that a filter came off while that is held back, and a press begun on one cue is none on
 * the next (S9).
 */
import { isHeld } from "../../../../shared/run/cues/manner.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { HoldButton } from "../../../parts/hold-button.tsx";
import { putWords } from "../../../parts/words-for-cue.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useOrders } from "../../shell/use-order.tsx";

export function TakeOver({ status }: { status: RigStatus }) {
  const { give, waiting } = useOrders();
  const { rig, cueNow } = status;
  if (!cueNow?.cue.confirm) return null;
  const mark = (as: "done" | "skipped") =>
    void give({ type: "markCue", rigId: rig.id, cueId: cueNow.id, mark: as });
  return (
    <section key={cueNow.id} className="rig-panel__section" data-take-over={cueNow.id}>
      <h3>{t("lead.takeOver.title")}</h3>
      <p>{putWords(cueNow)}</p>
      {!isHeld(cueNow.mode) && (
        <div data-action="mark-done">
          <HoldButton
            label={t("lead.takeOver.done")}
            hint={t("lead.takeOver.hint")}
            onHeld={() => mark("done")}
            disabled={waiting !== null}
          />
        </div>
      )}
      {cueNow.cue.action === "filter-off" && (
        <Button
          action="mark-skipped"
          kind="quiet"
          disabled={waiting !== null}
          onClick={() => mark("skipped")}
        >
          {t("lead.takeOver.skip")}
        </Button>
      )}
    </section>
  );
}
