/** The alerts that instruments raise: spread into the catalogue of one rig's (rig-alerts.ts). */
import {
  cardFullMs,
  missedFrames,
  saidByInstrument,
  settingsDiffer,
  wheelContradicts,
} from "../facts/instrument-facts.ts";
import type { RigAlert } from "./alert-entry.ts";

/** From how long before C1 a card that is out is worth a word, ms. Common practice, no source. */
const SET_UP_MS = 60 * 60_000;
/** Around totality a missed frame is worth a walk, ms. */
const TOTALITY_MS = 300_000;

export const INSTRUMENT_ALERTS = {
  "tracking-stopped": {
    priorities: ["caution"],
    consequence: "The Sun drifts out of the field within minutes, its diameter in two.",
    action: "Start the mount's tracking; look whether the Sun is still centred.",
    time: "a minute",
    when: "from ten minutes before C1 to C4 the newest word is that the mount does not track",
    stands: ({ tracking }, { running }) => (running && tracking === false ? "caution" : null),
  },
  "card-gone": {
    priorities: ["caution", "advice"],
    consequence: "Nothing is being kept.",
    action: "Put a card in, or mount the folder again.",
    time: "a minute",
    when: "the card or folder that frames go to cannot be read: advice from an hour before C1, caution from ten minutes before it to C4",
    says: ["no-frames", "card-fills", "card-low", "card-full"],
    stands: (status, { running, view }) => {
      if (saidByInstrument(status, "card")?.value !== "gone") return null;
      const { c1, c4 } = view.contacts;
      if (c1 === null || c4 === null || view.runNow < c1 - SET_UP_MS || view.runNow >= c4) return null;
      return running ? "caution" : "advice";
    },
  },
  "no-frames": {
    priorities: ["caution", "advice"],
    consequence: "The camera did not do what its cue asked: those frames are lost, and the next may be.",
    action: "Have the operator look at the camera: is it on, does it count, is the card in?",
    time: "seconds in totality",
    when: "an exposure or burst is past its window and no new frame was seen, for three minutes or until one comes; caution from five minutes before C2 to five after C3",
    stands: (status, { state, view }) => {
      const missed = state.cover ? null : missedFrames(status, view);
      if (!missed) return null;
      const { c2, c3 } = view.contacts;
      const { dueMs } = missed.cue;
      const grave = c2 !== null && c3 !== null && dueMs > c2 - TOTALITY_MS && dueMs < c3 + TOTALITY_MS;
      return grave ? "caution" : "advice";
    },
  },
  "card-fills": {
    priorities: ["caution", "advice"],
    consequence: "The camera stops before the eclipse is over.",
    action: "Change the card, or take fewer frames until C2.",
    time: "until five minutes before C2",
    when: "at the rate at which it fills now the card is full before C4; caution when before C3",
    says: ["card-low"],
    stands: (status, { view }) => {
      const full = cardFullMs(status, view);
      const { c3, c4 } = view.contacts;
      if (full === null || c4 === null || full >= c4 || view.runNow >= c4) return null;
      return c3 !== null && full < c3 && view.runNow < c3 ? "caution" : "advice";
    },
  },
  "wheel-open": {
    priorities: ["caution"],
    consequence: "One of the two is wrong: it counts as open until somebody has looked (S9).",
    action: "Have somebody look at the front of the optics, and report.",
    time: "a minute",
    when: "a filter wheel stands at an open slot while a person says that the filter is on",
    says: ["filter-disputed"],
    stands: (status, { exposed, running }) =>
      exposed && running && wheelContradicts(status) ? "caution" : null,
  },
  "camera-differs": {
    priorities: ["advice"],
    consequence: "Frames may be too bright or too dark.",
    action: "Set the camera as the plan has it, or change the plan.",
    time: "until the cue",
    when: "in a cue's window the camera's exposure, sensitivity or aperture is another than the plan's",
    stands: (status, { view }) => (settingsDiffer(status, view) ? "advice" : null),
  },
} as const satisfies Record<string, RigAlert>;
