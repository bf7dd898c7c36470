/**
 * Danger, on every screen of the console: what it is, with its button, and the sound of it. Where the
 * screen itself is about nothing else (the array around totality), it says there what concerns a rig.
 */
import { AlertLine } from "../../../parts/alert-line.tsx";
import { t } from "../../../words/words.ts";
import { useLead } from "../lead-context.ts";
import { type RunNow, useRun } from "../use-run.ts";
import { alertGroups, operatorsOf } from "./alert-groups.ts";
import { AlertItem } from "./alert-item.tsx";
import { GoneBy, goneBy } from "./gone-by.tsx";
import { SoundControl, useSound } from "./sound.tsx";
import "./alerts.css";

/**
 * `rigsElsewhere`: danger of a rig is said by the screen itself, which has the sound's button then. While
 * every lens is to be covered the banner of that has it.
 */
export function DangerBand({ rigsElsewhere }: { rigsElsewhere: (now: RunNow) => boolean }) {
  const now = useRun();
  const { cover } = useLead().view;
  const sound = useSound();
  if (!now) return null;
  const dangers = now.alerts.filter(({ priority }) => priority === "danger");
  const said = rigsElsewhere(now);
  // The order itself stands in a banner of its own, with its release.
  const groups = alertGroups(
    dangers.filter(({ cause, rigId }) => cause !== "cover-latched" && !(said && rigId !== null)),
    operatorsOf(now),
  );
  const nothingGoneBy = said || goneBy(now).length === 0;
  if (groups.length === 0 && now.presenceKnown && nothingGoneBy) return null;
  return (
    <section
      className="danger-band"
      aria-label={t("alert.danger")}
      data-dangers={dangers.length}
      data-sounding={sound.on && sound.ready}
    >
      {!now.presenceKnown && <Alone />}
      {groups.map((group) => (
        <AlertItem key={group.id} group={group} now={now} />
      ))}
      {!said && <GoneBy now={now} />}
      {!cover && !said && <SoundControl />}
    </section>
  );
}

/** What other devices do is not known here. */
function Alone() {
  return (
    <div data-alert="console-alone" data-cause="console-alone" data-priority="danger" data-rig="">
      <AlertLine
        priority="danger"
        announce
        title={t("lead.array.alone")}
        detail={t("lead.array.aloneSays")}
      />
    </div>
  );
}
