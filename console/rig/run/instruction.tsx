/** The one instruction of the run screen, and the two that come after it. */

import { AlertLine } from "../../parts/alert-line.tsx";
import { cueNote } from "../../parts/words-for-cue.ts";
import { useWords } from "../../words/words.ts";
import { aheadText, CountInBar, CountInText } from "./count-in.tsx";
import { cueSentence } from "./cue-words.ts";
import type { RigScene } from "./rig-scene.ts";
import type { CueLine } from "./run-picture.ts";

interface InstructionProps {
  scene: RigScene;
  read: () => number;
}

export function Instruction({ scene, read }: InstructionProps) {
  const { t } = useWords();
  const { instruction: line, due, upcoming } = scene.picture;
  const several = scene.rigs.length > 1;
  if (!line) {
    return (
      <section className="rig-instruction" data-instruction="none">
        <h1 className="rig-sentence" data-long="true">
          {t(emptyKey(scene))}
        </h1>
      </section>
    );
  }
  const sentence = cueSentence(line);
  return (
    <section
      className="rig-instruction"
      data-instruction
      data-cue={line.id}
      data-rig={line.rigId}
      data-cue-state={line.state}
      data-mode={line.mode}
    >
      <p className="rig-when">
        {several ? <strong className="rig-name">{line.rigName}</strong> : null}
        <CountInText line={line} due={due} read={read} />
      </p>
      <h1 className="rig-sentence" data-long={sentence.length > 34}>
        {sentence}
      </h1>
      {line.mode === "plain" && cueNote(line.cue) ? (
        <p className="rig-note">{t("cue.note", { text: cueNote(line.cue) })}</p>
      ) : null}
      <CountInBar line={line} due={due} read={read} />
      {line.mode === "by-eye" ? (
        <AlertLine
          priority="caution"
          title={t("rig.doubt.title")}
          detail={scene.view.doubt.reasons.map((reason) => t(`rig.doubt.${reason}`)).join(" ")}
        />
      ) : null}
      <ol className="rig-upcoming">
        {upcoming.map((next) => (
          <Upcoming key={next.key} line={next} several={several} runNow={scene.view.runNow} />
        ))}
      </ol>
    </section>
  );
}

interface UpcomingProps {
  line: CueLine;
  several: boolean;
  runNow: number;
}

function Upcoming({ line, several, runNow }: UpcomingProps) {
  const { t } = useWords();
  const left = line.dueMs - runNow;
  return (
    <li data-next data-cue={line.id} data-rig={line.rigId} data-cue-state={line.state} data-mode={line.mode}>
      <span className="rig-upcoming-when figures">{aheadText(Math.max(0, left), t)}</span>
      <span>
        {several ? <strong className="rig-name">{line.rigName} </strong> : null}
        {cueSentence(line)}
      </span>
    </li>
  );
}

function emptyKey(scene: RigScene) {
  const { gets, view, state } = scene;
  if (!state.plan.site || !state.plan.eclipse) return "rig.empty.noSite";
  if (gets.kind === "none") return "rig.empty.noEclipse";
  if (view.contacts.c4 !== null && view.runNow > view.contacts.c4) return "rig.empty.over";
  return "rig.empty.noCues";
}
