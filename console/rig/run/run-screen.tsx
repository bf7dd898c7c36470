/** The run screen: what to do now, at reading distance, and one thing to press. */
import "../../words/bundles/plan.ts";
import "../../words/bundles/run.ts";
import { useState } from "react";
import type { SessionView } from "../../../shared/link/session-types.ts";
import { useWords } from "../../words/words.ts";
import { ConfirmArea } from "./confirm-area.tsx";
import { exposedNow } from "./exposed-now.ts";
import { FilterBar } from "./filter-bar.tsx";
import { Instruction } from "./instruction.tsx";
import type { RigScene } from "./rig-scene.ts";
import { UndoBar } from "./undo-bar.tsx";
import type { RigActs } from "./use-rig-run.ts";

interface RunScreenProps {
  scene: RigScene;
  session: SessionView;
  acts: RigActs;
  read: () => number;
  onReport: () => void;
}

export function RunScreen({ scene, session, acts, read, onReport }: RunScreenProps) {
  const [asking, setAsking] = useState<string | null>(null);
  const asked = scene.rigs.find((status) => status.rig.id === asking);
  return (
    <div className="rig-run" data-screen="run" data-quiet={scene.picture.quiet}>
      {/* What scrolls must be reached by keyboard (WCAG 2.1.1). */}
      <div className="rig-upper" tabIndex={scene.picture.quiet ? 0 : undefined}>
        <Instruction scene={scene} read={read} />
        {scene.picture.quiet ? null : <QuietTimes scene={scene} acts={acts} onReport={onReport} />}
      </div>
      <div className="rig-lower">
        {acts.undo ? <UndoBar words={acts.undo.words} onUndo={acts.takeBack} /> : null}
        <ConfirmArea
          scene={scene}
          acts={acts}
          exposed={asked ? exposedNow(scene, asked) : false}
          asking={asking}
          onAsked={() => setAsking(null)}
        />
        <FilterBar scene={scene} acts={acts} heard={session.linkState === "linked"} onAsk={setAsking} />
      </div>
    </div>
  );
}

/** Shown only while no cue is within a minute: card, battery, and the word on practice (S8). */
function QuietTimes({ scene, acts, onReport }: Pick<RunScreenProps, "scene" | "acts" | "onReport">) {
  const { t } = useWords();
  const several = scene.rigs.length > 1;
  const touchOnly =
    scene.practice === null
      ? []
      : scene.rigs.filter((status) => !status.practiceSafe && status.rig.filter !== "none by design");
  return (
    <div className="rig-aside">
      {scene.rigs.map((status) => (
        <button
          key={status.rig.id}
          type="button"
          className="rig-plain"
          data-action="report"
          data-rig={status.rig.id}
          onClick={onReport}
        >
          {several ? `${status.rig.name}: ` : ""}
          {status.cardFreeGB === null
            ? t("rig.card.unknown")
            : t("rig.card.free", { gb: figure(status.cardFreeGB) })}
          {" · "}
          {status.batteryPct === null
            ? t("rig.battery.unknown")
            : t("rig.battery.left", { pct: Math.round(status.batteryPct) })}
        </button>
      ))}
      {touchOnly.map((status) => (
        <button
          key={status.rig.id}
          type="button"
          className="rig-plain"
          data-action="practice-safe"
          data-rig={status.rig.id}
          onClick={() =>
            acts.act(
              { rigId: status.rig.id, report: { practiceSafe: true }, undo: { practiceSafe: false } },
              t("rig.practice.safeSaid", { rig: status.rig.name }),
            )
          }
        >
          {t("rig.practice.safe", { rig: status.rig.name })}
        </button>
      ))}
    </div>
  );
}

function figure(value: number): string {
  return value < 10 ? value.toFixed(1) : String(Math.round(value));
}
