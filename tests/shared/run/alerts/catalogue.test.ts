/**
 * The catalogue of alerts is whole: each says what follows, what to do and by when, has its words in
 * every language, and no alert ever has a priority that its entry does not name. An alert that asks
 * for nothing is none (IEC 62682 on alarm systems: consequence, operator's action and time to act
 * of each are written down; from memory).
 */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { catalogueTable } from "../../../../scripts/alerts/catalogue-table.ts";
import type { HubAlert, RigAlert, SiteAlert } from "../../../../shared/run/alerts/alert-entry.ts";
import { alertsAt } from "../../../../shared/run/alerts/alerts.ts";
import { HUB_ALERTS } from "../../../../shared/run/alerts/hub-alerts.ts";
import { PRIORITIES, rankOf } from "../../../../shared/run/alerts/priority.ts";
import { RIG_ALERTS } from "../../../../shared/run/alerts/rig-alerts.ts";
import { SITE_ALERTS } from "../../../../shared/run/alerts/site-alerts.ts";
import type { ClockHealth } from "../../../../shared/run/doubt.ts";
import { GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import { NOBODY } from "../../../../shared/run/views/presence.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { linkedTo, SiteWorld } from "../site-world.ts";

const ALL: Record<string, RigAlert | SiteAlert | HubAlert> = { ...RIG_ALERTS, ...SITE_ALERTS, ...HUB_ALERTS };
const CAUSES = Object.keys(ALL);
const S = 1000;

test("no cause stands in it twice", () => {
  const counts = [RIG_ALERTS, SITE_ALERTS, HUB_ALERTS].map((part) => Object.keys(part).length);
  expect(CAUSES).toHaveLength(counts.reduce((sum, n) => sum + n));
});

describe.each(Object.entries(ALL))("%s", (cause, entry) => {
  test("says what follows, what to do, how long there is and when it stands", () => {
    for (const text of [entry.consequence, entry.action, entry.time, entry.when]) expect(text).not.toBe("");
    const ranks = entry.priorities.map(rankOf);
    expect(ranks).toEqual([...new Set(ranks)].sort());
    expect(catalogueTable()).toContain(`| ${cause} | ${entry.priorities.join(", ")} | ${entry.when} |`);
  });

  test.each(["en", "es", "fr", "ar"])("has its words in %s", (language) => {
    const file = new URL(`../../../../console/words/${language}/alerts.json`, import.meta.url);
    const words = JSON.parse(readFileSync(file, "utf8")) as Record<string, string>;
    const isOfRig = Object.hasOwn(RIG_ALERTS, cause);
    const keys = [
      `alert.${cause}`,
      ...(isOfRig ? [`alert.${cause}.row`] : []),
      ...(isOfRig && !("alone" in entry) ? [`alert.${cause}.several`] : []),
      ...(Object.hasOwn(HUB_ALERTS, cause) ? [`alert.${cause}.do`] : []),
    ];
    expect(keys.filter((key) => !words[key]?.trim())).toEqual([]);
  });
});

test("what one says as well is a cause of rigs", () => {
  for (const { says = [] } of Object.values<RigAlert>(RIG_ALERTS))
    for (const other of says) expect(Object.keys(RIG_ALERTS)).toContain(other);
});

test("whatever happens, an alert has a priority that its entry names, and the worst come first", () => {
  const world = SiteWorld.planned();
  const { c1, c2, c3, c4 } = world.predicted;
  world.joined("eye", c1 - 7200 * S);
  world.report("west", { filter: "off", cardFreeGB: 0.1, batteryPct: 15, help: true }, { at: c1 - 3000 * S });
  world.report("wide", { cardFreeGB: 2, batteryPct: 3 }, { at: c1 - 3000 * S });
  world.report("eye", { filter: "on" }, { at: c1 - 3000 * S });
  world.report("eye", { filter: "off" }, { at: c1 - 2900 * S, device: "another" });
  const clocks: ClockHealth[] = [
    GOOD_CLOCK,
    { ...GOOD_CLOCK, hubBoundMs: 5000, disputed: true },
    { ...GOOD_CLOCK, stepped: true, disputed: true, slept: true },
  ];
  const seen = new Set<string>();
  const times = [
    c1 - 3500 * S,
    c1 - S,
    c2 - 500 * S,
    c2 - 5 * S,
    c2 + 20 * S,
    c3 + 60 * S,
    c4 - S,
    c4 + 900 * S,
  ];
  for (const at of times)
    for (const clock of clocks)
      for (const presence of [NOBODY, { ...linkedTo("west"), noisy: ["west"] }]) {
        const alerts = alertsAt(world.state, presence, clock, utcMs(at));
        for (const { cause, priority } of alerts) {
          expect([cause, ALL[cause]?.priorities ?? []]).toEqual([cause, expect.arrayContaining([priority])]);
          seen.add(`${cause} ${priority}`);
        }
        const ranks = alerts.map(({ priority }) => PRIORITIES.indexOf(priority));
        expect(ranks).toEqual([...ranks].sort());
      }
  expect(seen.size).toBeGreaterThan(14);
});
