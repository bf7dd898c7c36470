/** All alerts of the site, worst first: danger and the first few always, the rest on demand. */
import { useState, useSyncExternalStore } from "react";
import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { SiteAlert } from "../../../../shared/run/alerts/alert-entry.ts";
import type { Alert, AlertCause } from "../../../../shared/run/alerts/alerts.ts";
import { isHubCause } from "../../../../shared/run/alerts/hub-alerts.ts";
import { SITE_ALERTS } from "../../../../shared/run/alerts/site-alerts.ts";
import "../../../words/bundles/alerts.ts";
import { AlertLine } from "../../../parts/alert-line.tsx";
import { isWordKey, t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { go } from "../../shell/route.ts";
import { shortLength } from "../../shell/short-length.ts";
import { useOrders } from "../../shell/use-order.tsx";
import type { RunNow } from "../../shell/use-run.ts";
import { type AlertGroup, alertGroups, shownFirst } from "./alert-groups.ts";

const SHOWN = 3;
/** On a phone, where the rows need the room. As in array-screen.css. */
const SHOWN_NARROW = 2;
const NARROW = "(max-width: 48rem)";

/** `siteOnly`: danger and cautions of a rig are said at the rig. */
export function AlertList(props: { now: RunNow; siteOnly?: boolean }) {
  const [all, setAll] = useState(false);
  // What the banner above the screen already says is not said twice.
  const said = (alert: Alert) =>
    alert.cause !== "cover-latched" &&
    !(props.siteOnly && alert.rigId !== null && alert.priority !== "advice");
  const listed = alertGroups(props.now.alerts.filter(said));
  const first = shownFirst(listed, useNarrow() ? SHOWN_NARROW : SHOWN);
  const shown = all ? listed : first;
  const more = listed.length - shown.length;
  return (
    <section className="alert-list" aria-label={t("lead.alert.list")} data-alerts={listed.length}>
      {!props.now.presenceKnown && (
        <div
          className="alert-list__alone"
          data-alert="console-alone"
          data-cause="console-alone"
          data-priority="danger"
          data-rig=""
        >
          <AlertLine
            priority="danger"
            announce
            title={t("lead.array.alone")}
            detail={t("lead.array.aloneSays")}
          />
        </div>
      )}
      {listed.length === 0 && props.now.presenceKnown && !props.siteOnly && (
        <p className="alert-list__none">{t("lead.alert.none")}</p>
      )}
      {shown.map((group) => (
        <div
          key={group.id}
          className="alert-list__item"
          data-alert={group.cause}
          data-priority={group.priority}
          data-cause={group.cause}
          data-rig={group.rigIds.join(" ")}
        >
          <OneAlert group={group} now={props.now} />
        </div>
      ))}
      {listed.length > first.length && (
        <Button action="all-alerts" kind="quiet" pressed={all} onClick={() => setAll(!all)}>
          {all ? t("lead.alert.fewer") : t("lead.alert.more", { count: more })}
        </Button>
      )}
    </section>
  );
}

/** Where the lead sees more of what concerns the whole site. */
function screenOf(cause: AlertCause): "site" | "record" | "clock" {
  if (isHubCause(cause)) return "record";
  return ownValue<SiteAlert>(SITE_ALERTS, cause)?.about === "place" ? "site" : "clock";
}

/** One rig's sentence takes {rig}; for several the rigs are named beneath. */
function sentence(cause: AlertCause, rig: string, count: number): string {
  const several = `alert.${cause}.several`;
  return t(count > 1 && isWordKey(several) ? several : `alert.${cause}`, { rig, count });
}

function useNarrow(): boolean {
  return useSyncExternalStore(onWidth, () => window.matchMedia(NARROW).matches);
}

function onWidth(changed: () => void): () => void {
  const media = window.matchMedia(NARROW);
  media.addEventListener("change", changed);
  return () => media.removeEventListener("change", changed);
}

function OneAlert(props: { group: AlertGroup; now: RunNow }) {
  const { group, now } = props;
  const { give } = useOrders();
  const { cause, priority, rigIds } = group;
  const rigs = rigIds.flatMap((id) => now.state.plan.rigs.find((rig) => rig.id === id) ?? []);
  const [first] = rigs;
  const length = t("lead.alert.standing", { time: shortLength(now.now - group.sinceUtcMs) });
  const several = rigs.length > 1;
  const who = several ? rigs.map((rig) => rig.name).join(", ") : first?.operator;
  const advice = isHubCause(cause) ? t(`alert.${cause}.do`) : undefined;
  return (
    <AlertLine
      priority={priority}
      announce={priority !== "advice"}
      title={sentence(cause, first?.name ?? "", rigs.length)}
      detail={[advice, length, who].filter(Boolean).join(" · ")}
    >
      {cause === "help" && first ? (
        <Button action="answer-help" onClick={() => void give({ type: "answerHelp", rigId: first.id })}>
          {t("lead.help.answer")}
        </Button>
      ) : several ? (
        cause === "not-joined" && (
          <Button action="open-cause" onClick={() => go("join-sheet")}>
            {t("lead.alert.joinSheet")}
          </Button>
        )
      ) : first ? (
        <Button action="open-rig" onClick={() => go("array", first.id)}>
          {t("lead.array.open")}
        </Button>
      ) : (
        <Button action="open-cause" onClick={() => go(screenOf(cause))}>
          {t("lead.array.open")}
        </Button>
      )}
    </AlertLine>
  );
}
