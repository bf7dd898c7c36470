/** The catalogue of alerts as a table in Markdown: one row a cause, the gravest first within its kind. */
import type { HubAlert, RigAlert, SiteAlert } from "../../shared/run/alerts/alert-entry.ts";
import { HUB_ALERTS } from "../../shared/run/alerts/hub-alerts.ts";
import { rankOf } from "../../shared/run/alerts/priority.ts";
import { RIG_ALERTS } from "../../shared/run/alerts/rig-alerts.ts";
import { SITE_ALERTS } from "../../shared/run/alerts/site-alerts.ts";

type Entry = RigAlert | SiteAlert | HubAlert;

const KINDS: readonly [string, Record<string, Entry>][] = [
  ["Of one rig", RIG_ALERTS],
  ["Of the whole site", SITE_ALERTS],
  ["Of the hub itself", HUB_ALERTS],
];

const HEADING = ["cause", "priority", "stands", "if nobody acts", "what to do", "time to act", "in the list"];

export function catalogueTable(): string {
  return KINDS.map(([kind, entries]) => {
    const rows = Object.entries(entries)
      .sort(([, a], [, b]) => rankOf(a.priorities[0]) - rankOf(b.priorities[0]))
      .map(([cause, entry]) => [
        cause,
        entry.priorities.join(", "),
        entry.when,
        entry.consequence,
        entry.action,
        entry.time,
        listing(entry),
      ]);
    return [`## ${kind}`, "", line(HEADING), line(HEADING.map(() => "---")), ...rows.map(line)].join("\n");
  }).join("\n\n");
}

function listing(entry: Entry): string {
  if (!("stands" in entry) || "about" in entry) return "once";
  const says = entry.says ? `; says ${entry.says.join(", ")} as well` : "";
  return (entry.alone ? "each rig alone" : "rigs together") + says;
}

function line(cells: readonly string[]): string {
  return `| ${cells.join(" | ")} |`;
}
