/**
 * What is written down of each cause of an alert: what happens if nobody acts, what to do, how long
 * there is, and when it stands. An alert without an action is none. Consequence, action and time are
 * for `npm run alerts` (English, common practice without a source where no rule is named); what
 * people read on screens has the keys `alert.<cause>`, and stands in console/words/…/alerts.json:
 *
 *   alert.<cause>          the sentence; {rig} is its rig's name
 *   alert.<cause>.figured  the same with what instruments give: {since}, {full} {contact} (alert-figures.ts)
 *   alert.<cause>.several  the same for several rigs, {count} of them (not where each stands alone)
 *   alert.<cause>.row      in a rig's own row: {time} {card} {battery}
 *   alert.<cause>.do       what to do about the hub itself
 */
import type { UtcMs } from "../../time/instants.ts";
import type { ClockHealth } from "../doubt.ts";
import type { SiteState } from "../state.ts";
import type { RigStatus } from "../views/rig-status.ts";
import type { RunView } from "../views/run-view.ts";
import type { AlertPriority } from "./priority.ts";

interface AlertEntry {
  /** Every priority it can have; the first is the gravest. */
  priorities: readonly [AlertPriority, ...AlertPriority[]];
  consequence: string;
  action: string;
  /** How long there is to act. */
  time: string;
  /** When it stands, in words. */
  when: string;
}

export interface RigAlert extends AlertEntry {
  /** Each rig's stands alone in the list, since somebody must go to that rig; else rigs share a line. */
  alone?: true;
  /** Eyes hang on it, or somebody calls: it can never be shelved, however grave it is. */
  eyes?: true;
  /** Causes that it says as well: theirs are not listed beside it for the same rig while it is as grave. */
  says?: readonly string[];
  stands(status: RigStatus, site: SiteFacts): AlertPriority | null;
  /** Since when, where the state itself knows it; else it stands since it was first seen. */
  sinceUtcMs?(status: RigStatus): UtcMs | undefined;
}

export interface SiteAlert extends AlertEntry {
  /** What it concerns: the lead's console opens the screen of that. */
  about: "clock" | "place" | "cover" | "links";
  /** It passes by itself where it has not stood so long, ms: until then it is not told. */
  lastsMs?: number;
  stands(site: SiteFacts): AlertPriority | null;
  sinceUtcMs?(site: SiteFacts): UtcMs | undefined;
}

/** Only the hub sees when it stands: hub/site/hub-health.ts raises and clears it. */
export type HubAlert = AlertEntry;

/** What all alerts of a look have in common, worked out once. */
export interface SiteFacts {
  state: SiteState;
  view: RunView;
  clock: ClockHealth;
  /** Whose clock has stepped in this practice, as a fault that was thrown in; null for nobody's. */
  practised: "hub" | "phone" | null;
  /** S1: bare photosphere can reach a lens. */
  exposed: boolean;
  /** At run time. */
  sunUp: boolean;
  beforeC2: boolean;
  /** From ten minutes before C1 to C4. */
  running: boolean;
  /** A real run in the ten minutes before C2. */
  grave: boolean;
  /** A practice is in its first seconds: nobody can have answered yet (just-begun.ts). */
  justBegun: boolean;
  /** Rigs that a phone has ever joined, each with the newest. */
  joined: ReadonlyMap<string, string>;
  /** So many phones are gone that it is one cause: an access point, the network. */
  linksGone: boolean;
}

/** From how long before a contact something matters that did not before, ms. Common practice, no source. */
export const NEAR_MS = 10 * 60_000;
