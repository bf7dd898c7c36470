/** The catalogue of alerts that one rig can raise (alert-entry.ts says what stands in it). */
import { isFilterAction } from "../../plan/model/vocabulary.ts";
import { isFilterOff } from "../../plan/safety/check-filter-cues.ts";
import type { PutCue } from "../cues/instruction.ts";
import { mayBeOff } from "../cues/rig-times.ts";
import type { RigStatus } from "../views/rig-status.ts";
import { NEAR_MS, type RigAlert, type SiteFacts } from "./alert-entry.ts";
import { INSTRUMENT_ALERTS } from "./instrument-alerts.ts";
import type { AlertPriority } from "./priority.ts";

/** From how long before C1 a rig that no phone has joined is advice: set-up begins. Common practice, no source. */
const SET_UP_MS = 60 * 60_000;
/** Cards and batteries: common practice, no source. */
const CARD_LOW_GB = 4;
const CARD_FULL_GB = 0.5;
const BATTERY_LOW_PCT = 20;

export const RIG_ALERTS = {
  exposed: {
    priorities: ["danger"],
    consequence: "An eye is hurt at once, a sensor or a shutter burnt within seconds (S1).",
    action: "Call to the rig: filter on. Cover every lens if nobody answers.",
    time: "seconds",
    when: "the filter is off outside the rig's allowance while photosphere can reach it",
    alone: true,
    says: ["filter-late"],
    eyes: true,
    stands: (status, site) => (status.exposed && opensInRun(status, site) ? "danger" : null),
  },
  "practice-off-real-sun": {
    priorities: ["danger"],
    consequence:
      "An eye is hurt at once, a sensor burnt within seconds: the real Sun is up, whatever the practice clock shows (S8).",
    action: "Call to the rig: filter on.",
    time: "seconds",
    when: "in a practice the filter is off under the real Sun, and the rig is neither capped nor turned away",
    alone: true,
    says: ["filter-late"],
    eyes: true,
    stands: (status, site) => (status.exposed && !opensInRun(status, site) ? "danger" : null),
  },
  "filter-unknown": {
    priorities: ["caution"],
    consequence: "It may be open in sunlight, or stay filtered through totality (S9, S10).",
    action: "Ask its operator, or go and look; report it.",
    time: "until ten minutes before C2",
    when: "from ten minutes before C1 to C4 nobody has said what the filter is, while photosphere can reach it; in the first 15 s of a practice only where somebody has said so",
    eyes: true,
    // Of a rig with a phone that is heard it never stands beside that.
    says: ["link-lost"],
    stands: ({ rig, filter, verdict }, { exposed, running, justBegun }) => {
      if (rig.filter === "none by design" || filter !== "unknown" || !exposed || !running) return null;
      return justBegun && verdict.word === null ? null : "caution";
    },
  },
  "filter-disputed": {
    priorities: ["caution"],
    consequence: "One of two phones is wrong: it counts as open until somebody has looked (S9).",
    action: "Have somebody look and report.",
    time: "a minute",
    when: "the words of two devices on the filter disagree",
    eyes: true,
    stands: ({ verdict }) => (verdict.disputedBy.length > 0 ? "caution" : null),
  },
  "filter-late": {
    priorities: ["caution"],
    consequence: "Photosphere comes back onto open optics (S4).",
    action: "Call to the rig: filter on.",
    time: "seconds",
    when: "a filter-on cue waits past its window",
    eyes: true,
    stands: (status) => (lateCue(status, "filter-late") ? "caution" : null),
  },
  "still-filtered": {
    priorities: ["caution"],
    consequence: "Totality is lost to this rig.",
    action: "Call to the rig; leave it filtered where little time is left (S11).",
    time: "seconds",
    when: "a filter-off cue waits past its window though it may be done",
    stands: (status) => (lateCue(status, "still-filtered") ? "caution" : null),
  },
  "not-capped": {
    priorities: ["danger", "caution"],
    consequence: "Optics point at the Sun uncapped: who looks into a projection is hurt at once (S12).",
    action: "Have it capped.",
    time: "a minute; seconds at a projection",
    when: "a cap cue waits past its window; danger at a projection, until somebody has said that it is done",
    eyes: true,
    stands: (status) => {
      if (!lateCue(status, "not-capped")) return null;
      return status.rig.kind === "projection" ? "danger" : "caution";
    },
  },
  help: {
    priorities: ["caution"],
    consequence: "Somebody at the rig cannot go on alone.",
    action: "Answer, then go or send somebody.",
    time: "a minute",
    when: "the operator asked for help and nobody has answered",
    alone: true,
    eyes: true,
    stands: ({ help }) => (help?.value ? "caution" : null),
    sinceUtcMs: ({ help }) => help?.observedUtcMs,
  },
  "not-joined": {
    priorities: ["caution", "advice"],
    consequence: "Nobody there is told a cue, and nothing is heard of its filter (R14).",
    action: "Bring the rig's join code.",
    time: "until ten minutes before its first filter cue",
    when: "no phone has ever joined the rig and nothing is heard of it: from an hour before C1 to C4; not in the first 15 s of a practice",
    says: ["filter-unknown"],
    stands: (status, site) => (site.joined.has(status.rig.id) ? null : lackOfPhone(status, site)),
  },
  "link-lost": {
    priorities: ["caution"],
    consequence: "Calls by eye and cover do not reach its phone; cues run on from what it holds.",
    action: "Look after the phone; call by voice meanwhile.",
    time: "minutes",
    when: "from ten minutes before C1 to C4 no device of a rig that had one is linked, unless most of them are gone",
    stands: ({ rig, linked }, { running, joined, linksGone }) =>
      running && !linksGone && linked.length === 0 && joined.has(rig.id) ? "caution" : null,
  },
  "link-noisy": {
    priorities: ["caution"],
    consequence: "Its reports are throttled, and what it says may not be a person's word.",
    action: "Make a new join code for the rig.",
    time: "minutes",
    when: "its link sends far more than any person does",
    stands: ({ noisy }) => (noisy ? "caution" : null),
  },
  "card-full": {
    priorities: ["caution"],
    consequence: "The camera stops.",
    action: "Change the card.",
    time: "minutes; not in totality",
    says: ["card-fills"],
    when: `less than ${CARD_FULL_GB} GB is free`,
    stands: ({ cardFreeGB }) => (cardFreeGB !== null && cardFreeGB < CARD_FULL_GB ? "caution" : null),
  },
  "card-low": {
    priorities: ["advice"],
    consequence: "The card may not last through totality.",
    action: "Change the card before C2.",
    time: "until five minutes before C2",
    when: `less than ${CARD_LOW_GB} GB is free`,
    stands: ({ cardFreeGB }) =>
      cardFreeGB !== null && cardFreeGB >= CARD_FULL_GB && cardFreeGB < CARD_LOW_GB ? "advice" : null,
  },
  "battery-low": {
    priorities: ["caution", "advice"],
    consequence: "Camera or mount stops.",
    action: "Change the battery before C2.",
    time: "until five minutes before C2",
    when: `less than ${BATTERY_LOW_PCT} % is left; caution below half of that`,
    stands: ({ batteryPct }) =>
      batteryPct === null || batteryPct >= BATTERY_LOW_PCT
        ? null
        : batteryPct < BATTERY_LOW_PCT / 2
          ? "caution"
          : "advice",
  },
  ...INSTRUMENT_ALERTS,
} as const satisfies Record<string, RigAlert>;

/** Open where the run's own Sun shines, not only the real one above a practice. */
function opensInRun({ allowance, times }: RigStatus, { sunUp, view }: SiteFacts): boolean {
  return sunUp && !mayBeOff(allowance, times, view.runNow);
}

/**
 * The cue that waits past its window for this cause: a filter or cap that is not on yet, or a
 * filter that could come off by now while nobody has said that it did.
 */
export function lateCue(
  { cues }: Pick<RigStatus, "cues">,
  cause: "filter-late" | "still-filtered" | "not-capped",
): PutCue | undefined {
  return cues.find(({ state, mode, cue }) => {
    if (state !== "late") return false;
    if (cause === "still-filtered") return mode === "plain" && isFilterOff(cue);
    return cue.action === (cause === "filter-late" ? "filter-on" : "cap");
  });
}

/**
 * R14: how grave it is that nobody has ever joined a rig and nothing is heard of it. From an hour
 * before C1 to C4; worse from ten minutes before the rig's first filter cue, or before C1 where its
 * filter only stays on. A rig without a filter by design loses pictures at most: it stays advice.
 */
function lackOfPhone(status: RigStatus, { view, justBegun }: SiteFacts): AlertPriority | null {
  const { runNow } = view;
  const { c1, c4 } = view.contacts;
  if (!status.silent || justBegun || c1 === null || c4 === null) return null;
  if (runNow < c1 - SET_UP_MS || runNow >= c4) return null;
  if (status.rig.filter === "none by design") return "advice";
  const first = status.cues.find(({ cue }) => isFilterAction(cue.action));
  return runNow >= (first?.dueMs ?? c1) - NEAR_MS ? "caution" : "advice";
}
