/** What another sky changes for each rig of this phone, until it is read; near a cue nothing of it is shown. */
import "../../words/bundles/facts.ts";
import "../../words/bundles/plan.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import { offsetWords } from "../../parts/words-for-anchor.ts";
import { cueWords } from "../../parts/words-for-cue.ts";
import { useWords } from "../../words/words.ts";
import type { RigScene } from "./rig-scene.ts";
import { type SkyChange, useSkyChanges } from "./sky-change.ts";

export function SkyNotice({ scene }: { scene: RigScene }) {
  const { t } = useWords();
  const [changes, read] = useSkyChanges(scene);
  if (changes.length === 0 || scene.picture.quiet) return null;
  return changes.map((change) => (
    <div key={change.rig.id} data-sky={change.sky} data-rig={change.rig.id}>
      <AlertLine
        priority="advice"
        title={t("rig.sky.title", { rig: change.rig.name, sky: t(`fact.sky.${change.sky}`) })}
        detail={detail(change)}
        announce
      >
        <button type="button" data-action="sky-read" onClick={read}>
          {t("rig.message.read")}
        </button>
      </AlertLine>
    </div>
  ));

  function detail({ staysOn, changed, gone }: SkyChange): string {
    const parts = [
      ...(staysOn ? [t("cue.filter-stays")] : []),
      ...changed.map((cue) => `${cueWords(cue)} ${offsetWords(cue.anchor, cue.offsetS)}.`),
      ...(gone.length > 0 ? [t("rig.sky.gone", { cues: gone.map(cueWords).join(" ") })] : []),
    ];
    return parts.length > 0 ? parts.join(" ") : t("rig.sky.same");
  }
}
