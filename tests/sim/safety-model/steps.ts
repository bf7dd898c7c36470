/** What a sequence is made of: the world it begins in, and what happens when. Plain data. */
import type { PlaceName, RigName } from "./places.ts";

/** The hub's clock; `errMs` is what only the model knows, the rest is what the hub says of it. */
export interface HubClock {
  errMs: number;
  boundMs: number;
  /** How far a pending step or a witness says the hub is off. */
  apartMs: number;
  disputed: boolean;
  stepped: boolean;
}

export interface PhoneStart {
  /** Indices into the world's rigs. */
  rigs: number[];
  errMs: number;
  boundMs: number;
}

export interface ModelWorld {
  place: PlaceName;
  /** Where the site truly is, metres from where the plan has it. */
  northM: number;
  eastM: number;
  placeBoundM: number;
  confirmed: boolean;
  rigs: RigName[];
  /** Cues that come every five minutes stand once in the plan, as a lead may have it: looks cost less. */
  once: boolean;
  phones: PhoneStart[];
  hub: HubClock;
  /** A practice run is on from the start: with the real Sun up, or at night. */
  practice: "day" | "night" | null;
  /** From `fromS` on everybody obeys, and totality is called `callS` after the true C2. */
  obey: { fromS: number; callS: number; by: "lead" | "operators" | "both" } | null;
}

export type CueEdit =
  | { kind: "off"; cue: string }
  | { kind: "on"; cue: string }
  | { kind: "offset"; cue: string; byS: number }
  | { kind: "say"; cue: string; words: string };

export type Act =
  /** Any key, or the big button: whatever the page takes it for. */
  | { do: "confirm"; phone: number }
  | { do: "tap"; phone: number; rig: number }
  | { do: "say"; phone: number; rig: number; word: "on" | "off" | "unknown" | "capped"; looked: boolean }
  /** The hold "I see totality", where it is offered. */
  | { do: "saw"; phone: number }
  /** The same said by another program, offered or not. */
  | { do: "sawReport"; phone: number; rig: number; value: boolean }
  | { do: "mark"; phone: number; rig: number; cue: string; as: "cueDone" | "cueSkipped" | "cueReopened" }
  | { do: "undo"; phone: number }
  | { do: "sky"; phone: number; rig: number; sky: "clear" | "overcast" }
  | { do: "practiceSafe"; phone: number; rig: number; value: boolean }
  | { do: "link"; phone: number; up: boolean }
  | { do: "reload"; phone: number }
  | { do: "phoneClock"; phone: number; errMs: number; boundMs: number }
  | { do: "boardLink"; up: boolean }
  | { do: "hubClock"; hub: HubClock }
  | { do: "call"; call: "totality" | "sun returns" | "stay filtered" }
  /** The nth standing call from the last. */
  | { do: "takeBack"; nth: number }
  | { do: "cover" }
  | { do: "release" }
  | { do: "shift"; contact: "c1" | "c2" | "max" | "c3" | "c4"; shiftS: number }
  | { do: "move"; place: PlaceName }
  | { do: "nudge"; northM: number }
  | { do: "confirmSite"; confirmed: boolean }
  | { do: "edit"; rig: number; edit: CueEdit }
  | { do: "revoke"; rig: number }
  | { do: "practice"; offsetS: number }
  | { do: "endPractice" };

/** `atS`: true seconds from the predicted C2 of the plan's first place (its maximum, without one). */
export type Step = { atS: number } & Act;

/** What people do, as against what happens to clocks and links. */
export function isOfPeople(act: Act): boolean {
  return !["link", "reload", "phoneClock", "boardLink", "hubClock"].includes(act.do);
}
