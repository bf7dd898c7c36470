/**
 * The catalogue of what only the hub knows of itself: its disk, its file, its backups (SPEC R18). It
 * stands beside the alerts that every console works out from the state.
 */
import type { HubAlert } from "./alert-entry.ts";

export const HUB_ALERTS = {
  "disk-full": {
    priorities: ["danger"],
    consequence: "Nothing more is logged; reports wait on the phones.",
    action: "Delete something large, or empty the bin.",
    time: "at once",
    when: "a write failed for want of room, until one succeeds",
  },
  "log-failing": {
    priorities: ["danger"],
    consequence: "Nothing more is logged; reports wait on the phones.",
    action: "Leave the hub on; look at the laptop's disk.",
    time: "at once",
    when: "the site's file cannot be written for another reason, until it can",
  },
  "file-gone": {
    priorities: ["danger"],
    consequence: "A restart finds only what the hub wrote anew.",
    action: "Download the site as a file.",
    time: "minutes",
    when: "the site's file was deleted or replaced under the running hub",
  },
  "file-damaged": {
    priorities: ["danger"],
    consequence: "A restart may not find the site.",
    action: "Download the site as a file and keep it.",
    time: "minutes",
    when: "the file was read through and is not whole",
  },
  "disk-low": {
    priorities: ["caution"],
    consequence: "The disk will be full before the day is over.",
    action: "Free some space.",
    time: "an hour",
    when: "little room is left on the disk",
  },
  "backup-missing": {
    priorities: ["caution"],
    consequence: "If the laptop is lost, so is the record.",
    action: "Look at the stick.",
    time: "an hour",
    when: "the place chosen for backups cannot be written",
  },
} as const satisfies Record<string, HubAlert>;

export type HubCause = keyof typeof HUB_ALERTS;

export function isHubCause(cause: string): cause is HubCause {
  return Object.hasOwn(HUB_ALERTS, cause);
}
