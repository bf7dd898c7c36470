/**
 * S7 on a rig page: the words over everything, until a lead releases the site. The operator can
 * say of each rig that it is covered; that releases nothing.
 */
import { CoverScreen } from "../parts/cover-screen.tsx";
import { clockText } from "../parts/time-format.ts";
import { useWords } from "../words/words.ts";
import { CoverRigs } from "./cover-rigs.tsx";
import type { RigScene } from "./run/rig-scene.ts";
import type { RigActs } from "./run/use-rig-run.ts";

/** `scene` is null while this phone knows of no site, or may no longer read of it: the words are for it, too. */
export function Covered({ scene, acts }: { scene: RigScene | null; acts: RigActs }) {
  const { t } = useWords();
  const sinceUtcMs = scene?.state.cover?.sinceUtcMs ?? null;
  return (
    <div data-cover>
      <CoverScreen
        detail={
          sinceUtcMs === null
            ? null
            : t("rig.cover.since", { time: `${clockText(sinceUtcMs)} ${t("time.utc")}` })
        }
      >
        {scene ? <CoverRigs rigs={scene.rigs} sinceUtcMs={sinceUtcMs} acts={acts} /> : null}
      </CoverScreen>
    </div>
  );
}
