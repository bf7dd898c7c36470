/** What needs somebody, worst first, beside danger, which stands on every screen (danger-band.tsx). */
import { useState } from "react";
import { hasJustBegun } from "../../../../shared/run/alerts/just-begun.ts";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { type AlertGroup, alertGroups, operatorsOf, shownFirst } from "../../shell/alerts/alert-groups.ts";
import { AlertItem, alertSentence } from "../../shell/alerts/alert-item.tsx";
import { shelvedNow, shelvedUntil, useAnswer } from "../../shell/alerts/answers-given.tsx";
import { Button } from "../../shell/button.tsx";
import { useMedia } from "../../shell/use-media.ts";
import type { RunNow } from "../../shell/use-run.ts";
import { onOldPlace } from "./old-place.ts";

const SHOWN = 3;
/** On a phone, where the rows need the room. As in array-screen.css. */
const SHOWN_NARROW = 2;
const NARROW = "(max-width: 48rem)";

/** `siteOnly`: around totality; cautions of a rig are said at the rig, advice waits. */
export function AlertList(props: { now: RunNow; siteOnly?: boolean }) {
  const [all, setAll] = useState(false);
  const { alerts } = props.now;
  // Danger says what less grave alerts of the same rig would say; it stands above the screen.
  const groups = alertGroups(alerts, operatorsOf(props.now), shelvedNow(props.now)).filter(
    ({ priority, rigIds }) =>
      priority !== "danger" && !(props.siteOnly && (rigIds.length > 0 || priority === "advice")),
  );
  const shelved = groups.filter((group) => shelvedUntil(group, props.now) !== null);
  const listed = groups.filter((group) => !shelved.includes(group));
  const first = shownFirst(listed, useMedia(NARROW) ? SHOWN_NARROW : SHOWN);
  const shown = all ? listed : first;
  const more = listed.length - shown.length;
  return (
    <section className="alert-list" aria-label={t("lead.alert.list")} data-alerts={listed.length}>
      {shown.map((group) => (
        <AlertItem key={group.id} group={group} now={props.now} compact />
      ))}
      {shelved.length > 0 && (
        <details className="alert-list__shelved" data-shelved={shelved.length}>
          <summary>{t("lead.alert.shelved", { count: shelved.length })}</summary>
          {shelved.map((group) => (
            <Shelved key={group.id} group={group} now={props.now} />
          ))}
        </details>
      )}
      {listed.length > first.length && (
        <Button action="all-alerts" kind="quiet" pressed={all} onClick={() => setAll(!all)}>
          {all ? t("lead.alert.fewer") : t("lead.alert.more", { count: more })}
        </Button>
      )}
    </section>
  );
}

/**
 * Said only where it is true: not while this console knows only what was, nor while phones are to be brought
 * back after a move, nor in the first seconds of a practice, when nobody can have answered yet.
 */
export function NothingNeeded({ now }: { now: RunNow }) {
  if (now.alerts.length > 0 || !now.presenceKnown || hasJustBegun(now.practice, now.now)) return null;
  if (onOldPlace(now.state, now.run.rigs, now.now).length > 0) return null;
  return <p className="alert-list__none">{t("lead.alert.none")}</p>;
}

/** Put away until then, and the way to have it back. */
function Shelved({ group, now }: { group: AlertGroup; now: RunNow }) {
  const answer = useAnswer();
  const until = shelvedUntil(group, now);
  return (
    <p data-shelved-cause={group.cause}>
      {alertSentence(group, now)}{" "}
      {until !== null && t("lead.alert.shelvedUntil", { time: `${clockText(until)} ${t("time.utc")}` })}{" "}
      <Button action="unshelve-alert" kind="quiet" onClick={() => void answer(group, "back")}>
        {t("lead.alert.back")}
      </Button>
    </p>
  );
}
