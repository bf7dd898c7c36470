/**
 * What is wrong with a rig, as a sentence for its row: exactly what, and for how long. A rig that
 * nobody has to act for has none. Made from the alerts that stand (shared/run/alerts/alerts.ts), so that
 * row, alert and log never disagree.
 */
import "../../../words/bundles/alerts.ts";
import type { Alert, RigCause } from "../../../../shared/run/alerts/alerts.ts";
import { type AlertPriority, rankOf as rank, worstFirst } from "../../../../shared/run/alerts/priority.ts";
import { RIG_ALERTS } from "../../../../shared/run/alerts/rig-alerts.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import type { RunView } from "../../../../shared/run/views/run-view.ts";
import { factText } from "../../../parts/words-for-fact.ts";
import { t, type WordKey, type WordValues } from "../../../words/words.ts";
import { alertFigures } from "../../shell/alerts/alert-figures.ts";
import { saidOnce } from "../../shell/alerts/alert-groups.ts";
import { alertLength } from "../../shell/alerts/alert-length.ts";
import { namesOf } from "../../shell/say/who.ts";
import { shortLength } from "../../shell/short-length.ts";
import { nearestTo } from "./nearest.ts";
import type { Rank } from "./row-order.ts";

export interface Trouble {
  /** Of the alert that it is made from, for answers. */
  alertId: string;
  priority: AlertPriority;
  cause: RigCause;
  key: WordKey;
  values: WordValues;
}

type RigsAlert = Alert & { cause: RigCause };

function isOfRig(alert: Alert): alert is RigsAlert {
  return Object.hasOwn(RIG_ALERTS, alert.cause);
}

/** All that is wrong with one rig, worst first, longest first among equals. */
export function troublesOf(status: RigStatus, alerts: readonly Alert[], run: RunView): Trouble[] {
  return saidOnce(alerts.filter((alert) => alert.rigId === status.rig.id))
    .filter(isOfRig)
    .sort((a, b) => worstFirst(a, b) || a.sinceUtcMs - b.sinceUtcMs)
    .map((alert) => trouble(alert, status, run, alerts));
}

function trouble(alert: RigsAlert, status: RigStatus, run: RunView, alerts: readonly Alert[]): Trouble {
  const { from, ms } = alertLength(alert, status, run, alerts);
  const base = { alertId: alert.id, priority: alert.priority, cause: alert.cause };
  const values: Record<string, string | number> = {
    rig: status.rig.name,
    time: shortLength(ms),
    ...alertFigures(alert.cause, status, run),
  };
  switch (alert.cause) {
    case "exposed":
      if (from === "C3") return { ...base, key: "alert.exposed.rowAfter", values };
      break;
    case "link-lost": {
      // From when the link was lost: the rig may have had nothing to say for long before.
      const near = nearestTo(status, run.rigs);
      values.state = filterWords(status);
      if (near)
        return { ...base, key: "alert.link-lost.rowNear", values: { ...values, near: namesOf([near]) } };
      break;
    }
    case "filter-unknown": {
      values.state = filterWords(status);
      // Where none of its phones is linked, nobody there can be asked.
      const lost = alerts.some((one) => one.cause === "link-lost" && one.rigId === status.rig.id);
      const near = lost ? nearestTo(status, run.rigs) : null;
      if (near) values.near = namesOf([near]);
      if (status.verdict.state !== "unknown")
        return { ...base, key: `alert.filter-unknown.${near ? "rowNear" : "rowLast"}`, values };
      // Never said: the link's loss is the news.
      if (lost) return { ...base, key: `alert.link-lost.${near ? "rowNear" : "row"}`, values };
      break;
    }
    case "card-full":
    case "card-low":
      values.card = factText("cardFreeGB", status.cardFreeGB ?? 0);
      break;
    case "battery-low":
      values.battery = Math.round(status.batteryPct ?? 0);
      break;
  }
  return { ...base, key: `alert.${alert.cause}.row`, values };
}

/** What its filter was by the last word on it: "last ON". */
function filterWords({ rig, verdict }: RigStatus): string {
  return t(`filter.${rig.filter === "none by design" ? "none" : verdict.state}`);
}

/** Danger and caution raise a row; advice waits in its place. */
export function rankOf(troubles: readonly Trouble[]): Rank {
  const worst = troubles[0]?.priority;
  return worst === undefined || worst === "advice" ? null : rank(worst);
}
