/**
 * What is shown while only the eye decides (S5): why, and the hold that says "I see totality".
 */
import "../../words/bundles/kinds.ts";
import "../../words/bundles/phone.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import { HoldButton } from "../../parts/hold-button.tsx";
import { useWords } from "../../words/words.ts";
import type { RigScene } from "./rig-scene.ts";
import type { RigActs } from "./use-rig-run.ts";

/** `why`: the reasons; else the hold for the rigs that wait for it. */
export function ByEye({ scene, acts, part }: { scene: RigScene; acts?: RigActs; part: "why" | "hold" }) {
  return part === "why" ? <Why scene={scene} /> : acts ? <SeeTotality scene={scene} acts={acts} /> : null;
}

/** The doubts, or that something was taken back just before (S6). */
function Why({ scene }: { scene: RigScene }) {
  const { t } = useWords();
  const { reasons } = scene.view.doubt;
  const words = reasons.map((reason) => t(`doubt.${reason}`)).join(" ");
  return <AlertLine priority="caution" title={t("doubt.title")} detail={words || t("doubt.taken back")} />;
}

function SeeTotality({ scene, acts }: { scene: RigScene; acts: RigActs }) {
  const { t } = useWords();
  return (
    <div className="rig-confirm" data-action="saw-totality">
      <HoldButton
        label={t("rig.see.label")}
        hint={t("rig.see.hint")}
        onHeld={() => {
          acts.act(
            scene.picture.askTotality.map((rigId) => ({
              rigId,
              report: { sawTotality: true },
              undo: { sawTotality: false },
            })),
            t("rig.see.said"),
          );
        }}
      />
    </div>
  );
}
