/** The filter of each rig on this phone, one tap each, and "I need help". Always there. */

import { runTime } from "../../../shared/run/run-time.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import { FilterMark } from "../../parts/filter-mark.tsx";
import { clockText } from "../../parts/time-format.ts";
import { useWords } from "../../words/words.ts";
import { exposedNow } from "./exposed-now.ts";
import { ownFilter } from "./own-filter.ts";
import { filterTap } from "./rig-reports.ts";
import type { RigScene } from "./rig-scene.ts";
import type { RigActs } from "./use-rig-run.ts";

interface FilterBarProps {
  scene: RigScene;
  acts: RigActs;
  heard: boolean;
  onAsk: (rigId: string) => void;
}

export function FilterBar({ scene, acts, heard, onAsk }: FilterBarProps) {
  const { t } = useWords();
  const { rigs, picture } = scene;
  const several = rigs.length > 1;
  const calling = rigs.some((status) => status.help?.value);
  const tap = (status: RigStatus): void => {
    const done = filterTap(status, picture.lines);
    if (done) acts.act(done, `${status.rig.name}: ${t(`rig.filter.is.${done.report.filter ?? "unknown"}`)}`);
    else onAsk(status.rig.id);
  };
  const help = (): void => {
    for (const { rig } of rigs) acts.send(rig.id, { help: !calling });
  };
  return (
    <div className="rig-foot" data-rigs={Math.min(rigs.length, 3)}>
      {rigs.map((status) => {
        const state = ownFilter(status);
        const { word } = status.verdict;
        const exposed = exposedNow(scene, status);
        return (
          <button
            key={status.rig.id}
            type="button"
            className="rig-filter"
            data-action="filter"
            data-rig={status.rig.id}
            data-filter={state}
            data-exposed={exposed}
            disabled={state === "none by design"}
            onClick={() => tap(status)}
          >
            {several ? (
              <span className="rig-filter-name">{status.rig.name}</span>
            ) : (
              <span className="only-read-aloud">{t("rig.filter.label")}</span>
            )}
            <FilterMark state={state} exposed={exposed} size="large" />
            {word && state !== "none by design" ? (
              <span className="rig-filter-since figures">
                {t("rig.filter.since", { time: clockText(runTime(scene.practice, word.observedUtcMs)) })}
              </span>
            ) : null}
          </button>
        );
      })}
      <button
        type="button"
        className="rig-help"
        data-action="help"
        data-calling={calling}
        aria-pressed={calling}
        onClick={help}
      >
        <span>{t(calling ? "rig.help.called" : "rig.help.label")}</span>
        {calling ? (
          <span className="rig-help-note">{t(heard ? "rig.help.takeBack" : "rig.help.notHeard")}</span>
        ) : null}
      </button>
    </div>
  );
}
