/** All alerts of the site, worst first: danger and the first few always, the rest on demand. */
import { useState, useSyncExternalStore } from "react";
import type { AlertCause } from "../../../../shared/run/alerts/alerts.ts";
import { type HubCause, isHubCause } from "../../../../shared/run/alerts/hub-trouble.ts";
import { AlertLine } from "../../../parts/alert-line.tsx";
import { t, type WordKey } from "../../../words/words.ts";
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

/** One rig's sentence takes {rig}; for several the rigs are named beneath. */
const KEYS: Record<AlertCause, { one: WordKey; several: WordKey }> = {
  exposed: { one: "lead.alert.exposed", several: "lead.alert.exposed" },
  "practice-off-real-sun": { one: "lead.alert.practiceOff", several: "lead.alert.practiceOff" },
  "filter-unknown": { one: "lead.alert.filterUnknown", several: "lead.alerts.filterUnknown" },
  "filter-disputed": { one: "lead.alert.filterDisputed", several: "lead.alerts.filterDisputed" },
  "filter-late": { one: "lead.alert.filterLate", several: "lead.alerts.filterLate" },
  "still-filtered": { one: "lead.alert.stillFiltered", several: "lead.alerts.stillFiltered" },
  "not-capped": { one: "lead.alert.notCapped", several: "lead.alerts.notCapped" },
  help: { one: "lead.alert.help", several: "lead.alert.help" },
  "not-joined": { one: "lead.alert.notJoined", several: "lead.alerts.notJoined" },
  "link-lost": { one: "lead.alert.linkLost", several: "lead.alerts.linkLost" },
  "link-noisy": { one: "lead.alert.linkNoisy", several: "lead.alerts.linkNoisy" },
  "card-full": { one: "lead.alert.cardFull", several: "lead.alerts.cardFull" },
  "card-low": { one: "lead.alert.cardLow", several: "lead.alerts.cardLow" },
  "battery-low": { one: "lead.alert.batteryLow", several: "lead.alerts.batteryLow" },
  "clock-bound": { one: "lead.alert.clockBound", several: "lead.alert.clockBound" },
  "clock-disputed": { one: "lead.alert.clockDisputed", several: "lead.alert.clockDisputed" },
  "clock-stepped": { one: "lead.alert.clockStepped", several: "lead.alert.clockStepped" },
  "laptop-slept": { one: "lead.alert.laptopSlept", several: "lead.alert.laptopSlept" },
  "cover-latched": { one: "lead.alert.coverLatched", several: "lead.alert.coverLatched" },
  "site-unconfirmed": { one: "lead.alert.siteUnconfirmed", several: "lead.alert.siteUnconfirmed" },
  "disk-full": { one: "lead.alert.diskFull", several: "lead.alert.diskFull" },
  "disk-low": { one: "lead.alert.diskLow", several: "lead.alert.diskLow" },
  "log-failing": { one: "lead.alert.logFailing", several: "lead.alert.logFailing" },
  "file-gone": { one: "lead.alert.fileGone", several: "lead.alert.fileGone" },
  "file-damaged": { one: "lead.alert.fileDamaged", several: "lead.alert.fileDamaged" },
  "backup-missing": { one: "lead.alert.backupMissing", several: "lead.alert.backupMissing" },
};

/** What the lead does about the hub itself, beneath what is wrong with it. */
const WHAT_TO_DO: Record<HubCause, WordKey> = {
  "disk-full": "lead.alert.diskFullDo",
  "disk-low": "lead.alert.diskLowDo",
  "log-failing": "lead.alert.logFailingDo",
  "file-gone": "lead.alert.fileGoneDo",
  "file-damaged": "lead.alert.fileDamagedDo",
  "backup-missing": "lead.alert.backupMissingDo",
};

export function AlertList(props: { now: RunNow }) {
  const [all, setAll] = useState(false);
  // What the banner above the screen already says is not said twice.
  const listed = alertGroups(props.now.alerts.filter((alert) => alert.cause !== "cover-latched"));
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
      {listed.length === 0 && props.now.presenceKnown && (
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
  return cause === "site-unconfirmed" ? "site" : "clock";
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
  const advice = isHubCause(cause) ? t(WHAT_TO_DO[cause]) : undefined;
  return (
    <AlertLine
      priority={priority}
      announce={priority !== "advice"}
      title={t(several ? KEYS[cause].several : KEYS[cause].one, {
        rig: first?.name ?? "",
        count: rigs.length,
      })}
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
