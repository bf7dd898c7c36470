/** What the operator says of each rig while every lens is to be covered (S7). */
import "../words/bundles/run.ts";
import type { RigStatus } from "../../shared/run/views/rig-status.ts";
import { ConfirmButton } from "../parts/confirm-button.tsx";
import { clockText } from "../parts/time-format.ts";
import { useWords } from "../words/words.ts";
import { ownFilter } from "./run/own-filter.ts";
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
      {rigs
        .filter((status) => status.rig.filter !== "none by design")
        .map((status) => {
          const state = ownFilter(status);
          const covered = state === "on" || state === "capped";
          const saidUtcMs = status.verdict.word?.observedUtcMs ?? Number.NEGATIVE_INFINITY;
          // A word from before the order may be old: whoever stands there looks once more.
          return covered && saidUtcMs >= (sinceUtcMs ?? Number.POSITIVE_INFINITY) ? (
            <p key={status.rig.id} data-covered data-rig={status.rig.id}>
              {t("rig.cover.done", { rig: status.rig.name })}
            </p>
          ) : (
            <div key={status.rig.id} data-action="covered" data-rig={status.rig.id}>
              {covered ? (
                <p>
                  {t("rig.cover.before", {
                    rig: status.rig.name,
                    time: `${clockText(saidUtcMs)} ${t("time.utc")}`,
                  })}
                </p>
              ) : null}
              <ConfirmButton
                label={t("rig.cover.filterOn", { rig: status.rig.name })}
                tone="outlined"
                onPress={() => {
                  const tap = setFilter(status, "on", [], true);
                  acts.send(tap.rigId, tap.report);
                }}
              />
            </div>
          );
        })}
    </div>
  );
}
