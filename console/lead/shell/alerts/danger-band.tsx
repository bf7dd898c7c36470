/**
 * Danger, on every screen of the console: what it is, with its button, and the sound of it. Where the
 * screen itself is about nothing else (the array around totality), it says there what concerns a rig.
 */
import { useState } from "react";
import { AlertLine } from "../../../parts/alert-line.tsx";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import { type RunNow, useRun } from "../use-run.ts";
import { alertGroups, operatorsOf } from "./alert-groups.ts";
import { AlertItem } from "./alert-item.tsx";
import { useDangerSound } from "./danger-sound.ts";
import { GoneBy, goneBy } from "./gone-by.tsx";
import { heardOf, type Silence, silenceFor } from "./silence.ts";
import "./alerts.css";

/** `rigsElsewhere`: danger of a rig is said by the screen itself. */
export function DangerBand({ rigsElsewhere }: { rigsElsewhere: (now: RunNow) => boolean }) {
  const now = useRun();
  const [silence, setSilence] = useState<Silence | null>(null);
  const heard = now ? heardOf(now.alerts, silence, now.now) : [];
  const ready = useDangerSound(heard.length > 0);
  if (!now) return null;
  const dangers = now.alerts.filter(({ priority }) => priority === "danger");
  const said = rigsElsewhere(now);
  // The order itself stands in a banner of its own, with its release.
  const groups = alertGroups(
    dangers.filter(({ cause, rigId }) => cause !== "cover-latched" && !(said && rigId !== null)),
    operatorsOf(now),
  );
  const silent = silence !== null && now.now < silence.untilUtcMs && dangers.length > heard.length;
  const nothingGoneBy = said || goneBy(now).length === 0;
  if (groups.length === 0 && heard.length === 0 && now.presenceKnown && nothingGoneBy) return null;
  return (
    <section
      className="danger-band"
      aria-label={t("alert.danger")}
      data-dangers={dangers.length}
      data-sounding={heard.length > 0 && ready}
    >
      {!now.presenceKnown && <Alone />}
      {groups.map((group) => (
        <AlertItem key={group.id} group={group} now={now} />
      ))}
      {!said && <GoneBy now={now} />}
      {(heard.length > 0 || silent) && (
        <p className="danger-band__sound">
          {!ready ? (
            <span data-sound="locked">{t("lead.sound.locked")}</span>
          ) : silent && heard.length === 0 ? (
            <>
              <span data-sound="silent">
                {t("lead.sound.silentUntil", {
                  time: `${clockText(silence.untilUtcMs)} ${t("time.utc")}`,
                })}
              </span>
              <Button action="sound-on" onClick={() => setSilence(null)}>
                {t("lead.sound.on")}
              </Button>
            </>
          ) : (
            <Button action="silence" onClick={() => setSilence(silenceFor(now.alerts, now.now))}>
              {t("lead.sound.silence")}
            </Button>
          )}
        </p>
      )}
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
