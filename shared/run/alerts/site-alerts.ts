/** The catalogue of alerts that concern the whole site (alert-entry.ts says what stands in it). */
import { DOUBT_BOUND_MS } from "../doubt.ts";
import type { SiteAlert } from "./alert-entry.ts";

/**
 * A hub that has just been started asks its machine and the network what time it is: two of a system's
 * tools may take 3 s each, a receiver a few seconds more. What rules say of an unknown clock (S5) does not
 * wait for it.
 */
const SOURCES_ASKED_MS = 10_000;

export const SITE_ALERTS = {
  "cover-latched": {
    priorities: ["danger"],
    consequence: "Nobody photographs anything until it is released (S7).",
    action: "Release it once every lens is known to be safe.",
    time: "as long as it takes",
    when: "a lead ordered “Cover every lens” and nobody has released it",
    about: "cover",
    stands: ({ state }) => (state.cover ? "danger" : null),
    sinceUtcMs: ({ state }) => state.cover?.sinceUtcMs,
  },
  "laptop-slept": {
    priorities: ["danger", "caution"],
    consequence: "Every time shown may be late by as much as the laptop slept too long (S5).",
    action: "Compare the clock with a watch or a receiver; set it.",
    time: "minutes",
    when: "the laptop slept under the running hub; danger before C2",
    about: "clock",
    stands: ({ clock, beforeC2 }) => (clock.slept ? (beforeC2 ? "danger" : "caution") : null),
  },
  // Asked in a practice, too: the answer is wanted before the real run.
  "clock-stepped": {
    priorities: ["danger", "caution"],
    consequence: "Either the eclipse clock or the laptop's is wrong; filter-off cues are by eye only (S5).",
    action: "Adopt the laptop's new time, or refuse it.",
    time: "minutes",
    when: "the laptop's own clock was set, or a practice practises it; danger in the ten minutes before C2 of a real run",
    about: "clock",
    stands: ({ clock, grave, practised }) =>
      clock.stepped || practised === "hub" ? (grave ? "danger" : "caution") : null,
  },
  "clock-disputed": {
    priorities: ["danger", "caution"],
    consequence: "The hub's clock may be wrong; filter-off cues are by eye only (S5).",
    action: "Compare with a watch; set the wrong clock right or set it aside.",
    time: "minutes",
    when: "devices or sources disagree with the hub in a real run, or a practice practises it; danger in the ten minutes before C2 of a real run",
    about: "clock",
    stands: ({ clock, view, grave, practised }) =>
      practised === "phone" || (clock.disputed && !clock.stepped && view.run.kind === "real")
        ? grave
          ? "danger"
          : "caution"
        : null,
  },
  "clock-bound": {
    priorities: ["danger", "advice"],
    consequence: "Cues may be seconds off; filter-off cues are by eye only (S5).",
    action: "Bring a source of time: a receiver, a network, a watch.",
    time: "until ten minutes before C2",
    when: `for ${SOURCES_ASKED_MS / 1000} s, before C2 of a real run, the hub knows UTC to no better than a second; danger in the ten minutes before it`,
    about: "clock",
    lastsMs: SOURCES_ASKED_MS,
    stands: ({ clock, view, grave, beforeC2 }) =>
      view.run.kind === "real" && clock.hubBoundMs > DOUBT_BOUND_MS && beforeC2
        ? grave
          ? "danger"
          : "advice"
        : null,
  },
  "site-unconfirmed": {
    priorities: ["caution", "advice"],
    consequence: "Contacts may be those of another place; filter-off cues are by eye only (S5).",
    action: "Look at what the place gets and say that it is this one.",
    time: "until ten minutes before C2",
    when: "no lead has confirmed the place; caution in the ten minutes before C2 of a real run",
    about: "place",
    stands: ({ state, grave }) =>
      state.plan.site && !state.plan.site.confirmed ? (grave ? "caution" : "advice") : null,
  },
  "links-lost": {
    priorities: ["caution"],
    consequence: "Calls by eye and cover reach no phone; cues run on from what they hold.",
    action: "Look after the access point; call by voice meanwhile.",
    time: "minutes",
    when: "from ten minutes before C1 to C4 most phones of rigs are not linked, three at least; a phone with several rigs counts once",
    about: "links",
    stands: ({ running, linksGone }) => (running && linksGone ? "caution" : null),
  },
} as const satisfies Record<string, SiteAlert>;
