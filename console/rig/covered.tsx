/**
 * S7 on a rig page: the words over everything, until a lead releases the site. The operator can
 * say of each rig that it is covered; that releases nothing.
 */
import { ConfirmButton } from "../parts/confirm-button.tsx";
import { CoverScreen } from "../parts/cover-screen.tsx";
import { clockText } from "../parts/time-format.ts";
import { useWords } from "../words/words.ts";
import { ownFilter } from "./run/own-filter.ts";
import { setFilter } from "./run/rig-reports.ts";
import type { RigScene } from "./run/rig-scene.ts";
import type { RigActs } from "./run/use-rig-run.ts";

export function Covered({ scene, acts }: { scene: RigScene; acts: RigActs }) {
  const { t } = useWords();
  const since = scene.state.cover?.sinceUtcMs;
  return (
    <div data-cover>
      <CoverScreen
        detail={since ? t("rig.cover.since", { time: `${clockText(since)} ${t("time.utc")}` }) : null}
      >
        <div className="rig-cover-rigs">
          {scene.rigs
            .filter((status) => status.rig.filter !== "none by design")
            .map((status) => {
              const state = ownFilter(status);
              const covered = state === "on" || state === "capped";
              const saidUtcMs = status.verdict.word?.observedUtcMs ?? Number.NEGATIVE_INFINITY;
              // A word from before the order may be old: whoever stands there looks once more.
              return covered && saidUtcMs >= (since ?? Number.POSITIVE_INFINITY) ? (
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
      </CoverScreen>
    </div>
  );
}
