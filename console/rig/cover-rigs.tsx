/** What the operator says of each rig while every lens is to be covered (S7). */
import "../words/bundles/run.ts";
import { isCoveredSince } from "../../shared/run/views/covered.ts";
import type { RigStatus } from "../../shared/run/views/rig-status.ts";
import { ConfirmButton } from "../parts/confirm-button.tsx";
import { clockText } from "../parts/time-format.ts";
import { useWords } from "../words/words.ts";
import { setFilter } from "./run/rig-reports.ts";
import type { RigActs } from "./run/use-rig-run.ts";

export interface CoverRigsProps {
  rigs: readonly RigStatus[];
  /** When it was ordered; null while only the order itself is known here. */
  sinceUtcMs: number | null;
  acts: RigActs;
}

export function CoverRigs({ rigs, sinceUtcMs, acts }: CoverRigsProps) {
  const { t } = useWords();
  return (
    <div className="rig-cover-rigs">
      {rigs.map((status) => {
        const { rig, verdict } = status;
        const bare = rig.filter === "none by design";
        const said = verdict.state === "on" || verdict.state === "capped" ? verdict.word : null;
        return isCoveredSince(status, sinceUtcMs) ? (
          <p key={rig.id} data-covered data-rig={rig.id}>
            {t("rig.cover.done", { rig: rig.name })}
          </p>
        ) : (
          <div key={rig.id} data-action="covered" data-rig={rig.id}>
            {said && !bare ? (
              <p>
                {t("rig.cover.before", {
                  rig: rig.name,
                  time: `${clockText(said.observedUtcMs)} ${t("time.utc")}`,
                })}
              </p>
            ) : null}
            <ConfirmButton
              label={t(bare ? "rig.cover.capOn" : "rig.cover.filterOn", { rig: rig.name })}
              tone="outlined"
              onPress={() =>
                acts.send(rig.id, bare ? { covered: true } : setFilter(status, "on", [], true).report)
              }
            />
          </div>
        );
      })}
    </div>
  );
}
