/**
 * What is wrong with a rig's link or with a code that was opened, and what to do: in one line each.
 * Close to a cue a link's trouble is said all the same (such a phone hears no calls and no shifts),
 * but in one line that takes no room from the cue, and without the way out.
 */
import "../../words/bundles/phone.ts";
import { useState } from "react";
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
  /** Parts of the code opened last that are no link. */
  bad: readonly string[];
  /** Rigs whose newer code was not taken. */
  formerKept: readonly string[];
  nameOf: (rigId: string) => string;
  /** A cue is near, or it is totality. */
  quiet: boolean;
  onLeave: (rigId: string) => void;
}

export function JoinTrouble({ refused, bad, formerKept, nameOf, quiet, onLeave }: JoinTroubleProps) {
  const { t } = useWords();
  const [seen, setSeen] = useState<readonly unknown[]>([]);
  const ofCodes = [
    bad.length > 0 ? { of: bad, title: t("rig.join.bad") } : null,
    formerKept.length > 0
      ? { of: formerKept, title: t("rig.join.former", { rig: formerKept.map(nameOf).join(" · ") }) }
      : null,
  ];
  return (
    <>
      {refused.map(({ rigId, reason }) => (
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
      ))}
      {ofCodes.map((code) =>
        !code || quiet || seen.includes(code.of) ? null : (
          <div key={code.title} className="rig-refused" data-code-trouble>
            <AlertLine priority="caution" title={code.title} announce>
              <button type="button" data-action="code-seen" onClick={() => setSeen([...seen, code.of])}>
                {t("rig.message.read")}
              </button>
            </AlertLine>
          </div>
        ),
      )}
    </>
  );
}
