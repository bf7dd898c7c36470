/**
 * The safety rules by number. SPEC.md beside this file has them in full with their sources;
 * tests quote the numbers. Sentences are English; pages translate them by the key `rule.S1` …
 *
 * `eye` rules protect people and block; `sensor` rules protect equipment and may be acknowledged
 * by a lead by name (S14). Numbers are common practice without a published source unless SPEC.md
 * names one; local rules and trained people on the spot prevail.
 */
export const RULE_NUMBERS = [
  "S1",
  "S2",
  "S3",
  "S4",
  "S5",
  "S6",
  "S7",
  "S8",
  "S9",
  "S10",
  "S11",
  "S12",
  "S13",
  "S14",
  "S15",
] as const;
export type RuleNumber = (typeof RULE_NUMBERS)[number];

export interface Rule {
  kind: "eye" | "sensor";
  /** English, one or two sentences; the message key is `rule.` plus the number. */
  sentence: string;
}

export const RULES: Record<RuleNumber, Rule> = {
  S1: {
    kind: "eye",
    sentence:
      "The Sun is exposed whenever it is up and not between C2 and C3: every lens is filtered or capped then, so a filter that comes off must have its way back on.",
  },
  S2: {
    kind: "eye",
    sentence:
      "Filters never come off at a site that is partial or annular, on a narrowband solar telescope, or at an eyepiece with a public queue.",
  },
  S3: {
    kind: "eye",
    sentence:
      "Where somebody looks through: filter off not before C2+10 s, eye away by C3−20 s, filter seated by C3−10 s; a totality under 40 s stays filtered.",
  },
  S4: {
    kind: "sensor",
    sentence:
      "A camera nobody looks through may be unfiltered before C2 for at most 45 s (up to 100 mm), 30 s (up to 500 mm) or 20 s (longer or unknown), and is filtered again by C3+15 s.",
  },
  S5: {
    kind: "eye",
    sentence:
      "In doubt about the clock, the place or the prediction, filters come off by eye only; doubt never delays putting a filter on.",
  },
  S6: {
    kind: "eye",
    sentence:
      "A call that makes things safe is one instant action; a call that unfilters needs a one-second hold, can be taken back, and is refused well before C2.",
  },
  S7: {
    kind: "eye",
    sentence: "“Cover every lens. Glasses on.” is obeyed at once by everyone, until a lead releases it.",
  },
  S8: {
    kind: "eye",
    sentence:
      "In practice under the real Sun the filter is touched and stays on, unless the rig is capped or pointed away; practice ends 20 minutes before the real C1.",
  },
  S9: {
    kind: "eye",
    sentence: "When reports about a filter disagree, it counts as off until somebody has looked.",
  },
  S10: {
    kind: "eye",
    sentence: "No filter comes off on a rig whose filter nobody has reported since joining.",
  },
  S11: {
    kind: "eye",
    sentence:
      "Under cloud stay filtered; in a hole open only with at least 20 s of totality left, 40 s where somebody looks through.",
  },
  S12: {
    kind: "eye",
    sentence:
      "Projection and unattended optics have an attendant and a barrier, and are capped when unattended and from C2−60 s to C3+60 s.",
  },
  S13: {
    kind: "eye",
    sentence:
      "Eclipse glasses come off only when totality is called by eye at a total site, and are on again at C3−15 s by the clock.",
  },
  S14: {
    kind: "eye",
    sentence: "Rules that protect eyes block; rules that protect sensors may be acknowledged by name.",
  },
  S15: {
    kind: "eye",
    sentence: "Predictions are off by seconds: the last word is the eye’s.",
  },
};
