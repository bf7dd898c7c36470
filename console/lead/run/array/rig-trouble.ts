/**
 * What is wrong with a rig, as a sentence for its row: exactly what, and for how long. A rig that
 * nobody has to act for has none. Made from the alerts that stand (shared/run/alerts/alerts.ts), so that
 * row, alert and log never disagree.
 */
import {
  type Alert,
  type AlertCause,
  type AlertPriority,
  lateCue,
  PRIORITY_RANK,
} from "../../../../shared/run/alerts/alerts.ts";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { factText } from "../../../parts/words-for-fact.ts";
import type { WordKey, WordValues } from "../../../words/words.ts";
import { shortLength } from "../../shell/short-length.ts";
import { saidOnce } from "./alert-groups.ts";
import type { Rank } from "./row-order.ts";

export interface Trouble {
  priority: AlertPriority;
  cause: AlertCause;
  key: WordKey;
  values: WordValues;
  /** How long it has stood, ms of real time. */
  forMs: number;
}

const ROW_KEYS: Record<AlertCause, WordKey> = {
  exposed: "lead.trouble.exposed",
  "practice-off-real-sun": "lead.trouble.practiceOff",
  "filter-unknown": "lead.trouble.filterUnknown",
  "filter-disputed": "lead.trouble.filterDisputed",
  "filter-late": "lead.trouble.filterLate",
  "still-filtered": "lead.trouble.stillFiltered",
  "not-capped": "lead.trouble.notCapped",
  help: "lead.trouble.help",
  "not-joined": "lead.trouble.notJoined",
  "link-lost": "lead.trouble.linkLost",
  "link-noisy": "lead.trouble.linkNoisy",
  "card-full": "lead.trouble.cardFull",
  "card-low": "lead.trouble.cardLow",
  "battery-low": "lead.trouble.batteryLow",
  "clock-bound": "lead.alert.clockBound",
  "clock-disputed": "lead.alert.clockDisputed",
  "clock-stepped": "lead.alert.clockStepped",
  "laptop-slept": "lead.alert.laptopSlept",
  "cover-latched": "lead.alert.coverLatched",
  "site-unconfirmed": "lead.alert.siteUnconfirmed",
  "disk-full": "lead.alert.diskFull",
  "disk-low": "lead.alert.diskLow",
  "log-failing": "lead.alert.logFailing",
  "file-gone": "lead.alert.fileGone",
  "file-damaged": "lead.alert.fileDamaged",
  "backup-missing": "lead.alert.backupMissing",
};

/** All that is wrong with one rig, worst first, longest first among equals. */
export function troublesOf(
  status: RigStatus,
  alerts: readonly Alert[],
  contacts: EffectiveContacts,
  runNow: number,
  now: number,
): Trouble[] {
  return saidOnce(alerts.filter((alert) => alert.rigId === status.rig.id))
    .sort((a, b) => PRIORITY_RANK[a.priority] - PRIORITY_RANK[b.priority] || a.sinceUtcMs - b.sinceUtcMs)
    .map((alert) => trouble(alert, status, contacts, runNow, now));
}

function trouble(
  alert: Alert,
  status: RigStatus,
  contacts: EffectiveContacts,
  runNow: number,
  now: number,
): Trouble {
  const forMs = Math.max(0, now - alert.sinceUtcMs);
  const base = { priority: alert.priority, cause: alert.cause, forMs };
  const values: Record<string, string | number> = { rig: status.rig.name, time: shortLength(forMs) };
  switch (alert.cause) {
    case "exposed": {
      const { c3 } = contacts;
      if (c3 !== null && runNow >= c3)
        return {
          ...base,
          key: "lead.trouble.exposedAfter",
          values: { ...values, time: shortLength(runNow - c3) },
        };
      break;
    }
    case "filter-late":
    case "still-filtered":
    case "not-capped": {
      const late = lateCue(status, alert.cause);
      if (late) values.time = shortLength(late.lateS * 1000);
      break;
    }
    case "link-lost":
      if (status.lastUtcMs !== null) values.time = shortLength(now - status.lastUtcMs);
      break;
    case "help":
      if (status.help) values.time = shortLength(now - status.help.observedUtcMs);
      break;
    case "card-full":
    case "card-low":
      values.card = factText("cardFreeGB", status.cardFreeGB ?? 0);
      break;
    case "battery-low":
      values.battery = Math.round(status.batteryPct ?? 0);
      break;
  }
  return { ...base, key: ROW_KEYS[alert.cause], values };
}

/** Danger and caution raise a row; advice waits in its place. */
export function rankOf(troubles: readonly Trouble[]): Rank {
  const worst = troubles[0]?.priority;
  return worst === "danger" ? 0 : worst === "caution" ? 1 : null;
}
