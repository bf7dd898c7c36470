/**
 * What a lead can do about an alert where it is read: one button for every cause of the catalogue.
 * Pure; drawn by alert-action.tsx.
 */
import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { AlertCause } from "../../../../shared/run/alerts/alerts.ts";
import { isHubCause } from "../../../../shared/run/alerts/hub-alerts.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { t, type WordKey } from "../../../words/words.ts";
import { reminderText } from "./reminder-text.ts";

export type Answer =
  /** Somebody called: say that somebody comes. */
  | { is: "help"; rigIds: string[] }
  /** Somebody has to go and look: who goes says so. */
  | { is: "come" }
  /** Words to the phones of the rigs that have it. */
  | { is: "say"; ask: boolean; text: string }
  /** A place in the console where it is put right. */
  | { is: "open"; screen: "join-sheet" | "array" | "site" | "clock" | "record"; item?: string };

/** What is said to a rig that has it; null: what the rig's own cue says. */
const SAYS: Partial<Record<AlertCause, WordKey | null>> = {
  exposed: null,
  "practice-off-real-sun": null,
  "filter-late": null,
  "still-filtered": null,
  "not-capped": null,
  "card-full": "lead.say.card",
  "card-low": "lead.say.card",
  "battery-low": "lead.say.battery",
  "filter-unknown": "lead.say.askFilter",
  "filter-disputed": "lead.say.lookAtFilter",
  "wheel-open": "lead.say.askFilter",
  "tracking-stopped": "lead.say.tracking",
  "no-frames": "lead.say.frames",
  "card-gone": "lead.say.cardGone",
  "card-fills": "lead.say.card",
};
const ASKS: ReadonlySet<AlertCause> = new Set(["filter-unknown", "filter-disputed", "wheel-open"]);

/** `rigs`: those that have it, at least one where the cause is a rig's. */
export function answerTo(cause: AlertCause, rigs: readonly Pick<RigStatus, "rig" | "cueNow">[]): Answer {
  const [first] = rigs;
  if (cause === "links-lost" || cause === "link-lost") return { is: "come" };
  if (!first) return { is: "open", screen: isHubCause(cause) ? "record" : screenOfSite(cause) };
  if (cause === "help") return { is: "help", rigIds: rigs.map(({ rig }) => rig.id) };
  const says = ownValue<WordKey | null>(SAYS, cause);
  if (says !== undefined)
    return { is: "say", ask: ASKS.has(cause), text: says === null ? cueTextFor(rigs) : t(says) };
  if (cause === "not-joined" && rigs.length > 1) return { is: "open", screen: "join-sheet" };
  return { is: "open", screen: "array", item: first.rig.id };
}

function screenOfSite(cause: AlertCause): "site" | "clock" {
  return cause === "site-unconfirmed" ? "site" : "clock";
}

/** One text for all of them: what only one rig's cue says is not said to another. */
function cueTextFor(rigs: readonly Pick<RigStatus, "cueNow">[]): string {
  const texts = new Set(rigs.map(reminderText));
  const [only] = texts;
  return texts.size === 1 && only ? only : t("glance.lookAtRig");
}
