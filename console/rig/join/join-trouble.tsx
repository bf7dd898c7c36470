/** What is wrong with a rig's link, and what to do: in one line each. */
import type { SessionView } from "../../../shared/link/session-types.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import { useWords, type WordKey } from "../../words/words.ts";

type Refused = SessionView["refusedRigs"][number];

const TITLES: Record<Refused["reason"], WordKey> = {
  "bad link": "rig.refused.bad",
  revoked: "rig.refused.revoked",
  removed: "rig.refused.removed",
};
const TO_DO: Record<Refused["reason"], WordKey> = {
  "bad link": "rig.refused.scan",
  revoked: "rig.refused.scan",
  removed: "rig.refused.ask",
};

interface JoinTroubleProps {
  refused: readonly Refused[];
  nameOf: (rigId: string) => string;
  onLeave: (rigId: string) => void;
}

export function JoinTrouble({ refused, nameOf, onLeave }: JoinTroubleProps) {
  const { t } = useWords();
  return refused.map(({ rigId, reason }) => (
    <div key={rigId} className="rig-refused" data-refused={reason} data-rig={rigId}>
      <AlertLine
        priority="caution"
        title={t(TITLES[reason], { rig: nameOf(rigId) })}
        detail={t(TO_DO[reason])}
        announce
      >
        <button type="button" data-action="leave" onClick={() => onLeave(rigId)}>
          {t("rig.refused.leave")}
        </button>
      </AlertLine>
    </div>
  ));
}
