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
}

export function RunScreen({ scene, session, acts, read }: RunScreenProps) {
  const [asking, setAsking] = useState<string | null>(null);
  const asked = scene.rigs.find((status) => status.rig.id === asking);
  return (
    <div className="rig-run" data-screen="run">
      {/* What scrolls must be reached by keyboard (WCAG 2.1.1). */}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls is reached by keys */}
      <div className="rig-upper" tabIndex={0}>
        <Instruction scene={scene} read={read} />
        {scene.picture.quiet ? null : <PracticeSafe scene={scene} acts={acts} />}
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

/** Shown only while no cue is within a minute: the word that makes a practice a full one (S8). */
function PracticeSafe({ scene, acts }: Pick<RunScreenProps, "scene" | "acts">) {
  const { t } = useWords();
  const touchOnly =
    scene.practice === null
      ? []
      : scene.rigs.filter((status) => !status.practiceSafe && status.rig.filter !== "none by design");
  return touchOnly.length === 0 ? null : (
    <div className="rig-aside">
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
