/**
 * What is wrong with a rig's link, and what to do: in one line each. Close to a cue it is said all
 * the same (such a phone hears no calls and no shifts), but in one line that takes no room from
 * the cue, and without the way out.
 */
import type { SessionView } from "../../../shared/link/session-types.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import { useWords, type WordKey } from "../../words/words.ts";

type Refused = SessionView["refusedRigs"][number];

const TITLES: Record<Refused["reason"], WordKey> = {
  "bad link": "rig.refused.bad",
  revoked: "rig.refused.revoked",
  removed: "rig.refused.removed",
  "other hub": "rig.refused.otherHub",
};
const TO_DO: Record<Refused["reason"], WordKey> = {
  "bad link": "rig.refused.scan",
  revoked: "rig.refused.held",
  removed: "rig.refused.ask",
  "other hub": "rig.refused.goesOn",
};

interface JoinTroubleProps {
  refused: readonly Refused[];
  nameOf: (rigId: string) => string;
  /** A cue is near, or it is totality. */
  quiet: boolean;
  onLeave: (rigId: string) => void;
}

export function JoinTrouble({ refused, nameOf, quiet, onLeave }: JoinTroubleProps) {
  const { t } = useWords();
  return refused.map(({ rigId, reason }) => (
    <div key={rigId} className="rig-refused" data-refused={reason} data-rig={rigId}>
      <AlertLine
        priority="caution"
        title={t(TITLES[reason], { rig: nameOf(rigId) })}
        detail={quiet ? null : t(TO_DO[reason])}
        announce
      >
        {quiet || reason === "other hub" ? null : (
          <button type="button" data-action="leave" onClick={() => onLeave(rigId)}>
            {t("rig.refused.leave")}
          </button>
        )}
      </AlertLine>
    </div>
  ));
}
