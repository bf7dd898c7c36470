/** The one instruction of the run screen, or the state in force, and the two that come after it. */

import { cameraShort } from "../../parts/camera-text.ts";
import { cueNote, needsWords, putWords } from "../../parts/words-for-cue.ts";
import { useWords, type WordKey } from "../../words/words.ts";
import { ByEye } from "./by-eye.tsx";
import { aheadText, CountInBar, CountInText } from "./count-in.tsx";
import type { RigScene } from "./rig-scene.ts";
import type { CueLine } from "./run-picture.ts";
import { type InForce, stateInForce } from "./state-in-force.ts";

interface InstructionProps {
  scene: RigScene;
  read: () => number;
}

export function Instruction({ scene, read }: InstructionProps) {
  const { t } = useWords();
  const { instruction: line, due, together, upcoming, staysOn } = scene.picture;
  const { rigs } = scene;
  const several = rigs.length > 1;
  if (!line) return <StateInForce scene={scene} />;
  const sentence = putWords(line);
  return (
    <section
      className="rig-instruction"
      data-instruction
      data-cue={line.id}
      data-rig={line.rigId}
      data-cue-state={line.state}
      data-mode={line.mode}
      data-exposed={line.exposed}
    >
      <p className="rig-when">
        {several ? <Called lines={[line, ...together]} all={rigs.length} /> : null}
        {line.exposed ? (
          <strong>{t("rig.danger.open")}</strong>
        ) : (
          <CountInText line={line} due={due} read={read} />
        )}
      </p>
      <h1 className="rig-sentence" data-long={sentence.length > 34}>
        {sentence}
      </h1>
      {staysOn ? (
        <p className="rig-note" data-stays-on>
          {putWords(staysOn)}
        </p>
      ) : null}
      {/* What the cameras are set to, who helps and with what; each by its rig's name where one sentence calls several. */}
      {[line, ...together].map(({ key, rigName, mode, exposed, cue }) => {
        const set = mode === "plain" && !exposed && cue.camera && cameraShort(cue.camera);
        const says = [set, needsWords(cue)].filter(Boolean).join(" · ");
        return says ? (
          <p key={key} className="rig-settings" data-settings>
            {together[0] ? <strong className="rig-name">{rigName} </strong> : null}
            {says}
          </p>
        ) : null;
      })}
      {line.mode === "plain" && cueNote(line) ? (
        <p className="rig-note">{t("cue.note", { text: cueNote(line) })}</p>
      ) : null}
      <CountInBar line={line} due={due} read={read} />
      {line.mode === "by-eye" ? <ByEye scene={scene} part="why" /> : null}
      <Coming lines={upcoming} several={several} runNow={scene.view.runNow} />
    </section>
  );
}

/** Whom the sentence calls: by name, or all of more than two by their number. */
function Called({ lines, all }: { lines: readonly CueLine[]; all: number }) {
  const { t } = useWords();
  const called =
    lines.length > 2 && lines.length === all
      ? [{ key: "all", rigName: t("count.rigs", { count: all }) }]
      : lines;
  return called.map(({ key, rigName }) => (
    <strong key={key} className="rig-name">
      {rigName}
    </strong>
  ));
}

/** No cue is due: what is true now stands large, what comes is small. */
function StateInForce({ scene }: { scene: RigScene }) {
  const { t } = useWords();
  const { upcoming } = scene.picture;
  const inForce = stateInForce(scene.view, scene.rigs);
  const sentence = t(forceKey(scene, inForce));
  return (
    <section
      className="rig-instruction"
      data-instruction
      data-cue=""
      data-cue-state="none"
      data-mode="plain"
      data-in-force={inForce}
    >
      <h1 className="rig-sentence" data-long={sentence.length > 34}>
        {sentence}
      </h1>
      <Coming lines={upcoming} several={scene.rigs.length > 1} runNow={scene.view.runNow} />
    </section>
  );
}

function forceKey({ rigs, practice, state }: RigScene, inForce: InForce): WordKey {
  if (!state.plan.site || !state.plan.eclipse) return "rig.empty.noSite";
  switch (inForce) {
    case "filter-stays":
      return rigs.length > 1 ? "rig.force.filters-stay" : "rig.force.filter-stays";
    case "enjoy":
      return practice ? "rig.force.enjoy.rehearsed" : "rig.force.enjoy";
    case "over":
      return "rig.empty.over";
    case "no-cues":
      return "rig.empty.noCues";
    case "no-eclipse":
      return "rig.empty.noEclipse";
    default:
      return `rig.force.${inForce}`;
  }
}

function Coming({ lines, several, runNow }: { lines: CueLine[]; several: boolean; runNow: number }) {
  return (
    <ol className="rig-upcoming">
      {lines.map((next) => (
        <Upcoming key={next.key} line={next} several={several} runNow={runNow} />
      ))}
    </ol>
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
      <span className="rig-upcoming-when figures">{left > 0 ? aheadText(left, t) : t("rig.in.now")}</span>
      <span>
        {several ? <strong className="rig-name">{line.rigName} </strong> : null}
        {putWords(line)}
      </span>
    </li>
  );
}
