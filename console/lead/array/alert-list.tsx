/** All alerts of the site, worst first: the first few always, the rest on demand. */
import { useState } from "react";
import type { Alert, AlertCause } from "../../../shared/run/alerts.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import type { WordKey } from "../../words/words.ts";
import { t } from "../../words/words.ts";
import { Button } from "../frame/button.tsx";
import { go } from "../frame/route.ts";
import { useOrders } from "../frame/use-order.tsx";
import type { RunNow } from "../use-run.ts";
import { shortLength } from "./rig-trouble.ts";

const SHOWN = 3;

const KEYS: Record<AlertCause, WordKey> = {
  exposed: "lead.alert.exposed",
  "practice-off-real-sun": "lead.alert.practiceOff",
  "filter-unknown": "lead.alert.filterUnknown",
  "filter-disputed": "lead.alert.filterDisputed",
  "filter-late": "lead.alert.filterLate",
  help: "lead.alert.help",
  "link-lost": "lead.alert.linkLost",
  "card-full": "lead.alert.cardFull",
  "card-low": "lead.alert.cardLow",
  "battery-low": "lead.alert.batteryLow",
  "clock-bound": "lead.alert.clockBound",
  "clock-disputed": "lead.alert.clockDisputed",
  "laptop-slept": "lead.alert.laptopSlept",
  "cover-latched": "lead.alert.coverLatched",
  "site-unconfirmed": "lead.alert.siteUnconfirmed",
};

export function AlertList(props: { now: RunNow }) {
  const { alerts } = props.now;
  const [all, setAll] = useState(false);
  // What the banner above the screen already says is not said twice.
  const listed = alerts.filter((alert) => alert.cause !== "cover-latched");
  const shown = all ? listed : listed.slice(0, SHOWN);
  const more = listed.length - shown.length;
  return (
    <section className="alert-list" aria-label={t("lead.alert.list")} data-alerts={listed.length}>
      {listed.length === 0 && <p className="alert-list__none">{t("lead.alert.none")}</p>}
      {shown.map((alert) => (
        <div
          key={alert.id}
          className="alert-list__item"
          data-alert={alert.cause}
          data-priority={alert.priority}
        >
          <OneAlert alert={alert} now={props.now} />
        </div>
      ))}
      {(more > 0 || all) && listed.length > SHOWN && (
        <Button action="all-alerts" kind="quiet" pressed={all} onClick={() => setAll(!all)}>
          {all ? t("lead.alert.fewer") : t("lead.alert.more", { count: more })}
        </Button>
      )}
    </section>
  );
}

function OneAlert(props: { alert: Alert; now: RunNow }) {
  const { alert, now } = props;
  const { give } = useOrders();
  const { rigId } = alert;
  const rig = now.state.plan.rigs.find((one) => one.id === rigId);
  const length = t("lead.alert.standing", { time: shortLength(now.now - alert.sinceUtcMs) });
  return (
    <AlertLine
      priority={alert.priority}
      announce={alert.priority !== "advice"}
      title={t(KEYS[alert.cause], { rig: rig?.name ?? rigId ?? "" })}
      detail={rig?.operator ? `${length} · ${rig.operator}` : length}
    >
      {alert.cause === "help" && rigId ? (
        <Button action="answer-help" onClick={() => void give({ type: "answerHelp", rigId })}>
          {t("lead.help.answer")}
        </Button>
      ) : rigId ? (
        <Button action="open-rig" onClick={() => go("array", rigId)}>
          {t("lead.array.open")}
        </Button>
      ) : (
        <Button action="open-clock" onClick={() => go(alert.cause === "site-unconfirmed" ? "site" : "clock")}>
          {t("lead.array.open")}
        </Button>
      )}
    </AlertLine>
  );
}
