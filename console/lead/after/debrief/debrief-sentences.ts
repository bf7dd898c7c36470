/** What a debrief says aloud, in the language shown: a line for each of its facts. */
import "../../../words/bundles/debrief.ts";
import type { Review } from "../../../../shared/review/review.ts";
import { afterC3Text, spanText } from "../../../parts/words-for-reviewed.ts";
import { intlLocale, t } from "../../../words/words.ts";
import { type DebriefFacts, debriefFacts } from "./debrief-facts.ts";

/** More names than this are not read aloud. */
const NAMES_MOST = 4;

export function debriefSentences(review: Review): string[] {
  const { cues, filters, stillOff, alerts } = debriefFacts(review);
  const off = stillOff.length === 0 ? [] : [t("debrief.filterStillOff", { rigs: listText(stillOff) })];
  return [
    cuesText(cues),
    [...(filters.kind === "off still" ? [] : [filterText(filters)]), ...off].join(" "),
    alertsText(alerts),
  ];
}

/** "West, Eyepiece and Kite"; of many the first three and how many more. */
export function listText(names: readonly string[]): string {
  const list = new Intl.ListFormat(intlLocale(), { type: "conjunction" });
  if (names.length <= NAMES_MOST) return list.format(names);
  const shown = names.slice(0, NAMES_MOST - 1);
  return list.format([...shown, t("debrief.more", { count: names.length - shown.length })]);
}

function cuesText(cues: DebriefFacts["cues"]): string {
  const { all, early, late, missed } = cues;
  const onTime = cues["on time"];
  if (all === 0) return t("debrief.noCues");
  if (onTime === all) return t("debrief.cuesAllOnTime", { all });
  if (missed === all) return t("debrief.cuesNoneDone", { all });
  return t("debrief.cuesSay", { all, onTime, early, late, missed });
}

function filterText(fact: Exclude<DebriefFacts["filters"], { kind: "off still" }>): string {
  switch (fact.kind) {
    case "nobody said":
      return t("debrief.filtersUntold");
    case "none came off":
      return fact.untold === 0 ? t("debrief.noFilter") : t("debrief.noFilterTold", { count: fact.untold });
    case "in sunlight": {
      const values = { count: fact.count, rigs: listText(fact.longest), time: spanText(fact.s) };
      return fact.count === fact.longest.length
        ? t("debrief.sunlit", values)
        : t("debrief.sunlitLongest", values);
    }
    case "all closed":
      if (fact.afterC3S === null) return t("debrief.filtersClosed");
      return fact.afterC3S < 0
        ? t("debrief.filtersClosedBefore")
        : t("debrief.filtersClosedBy", { at: afterC3Text(fact.afterC3S) });
  }
}

function alertsText({ raised, read, mostInTenMinutes: most }: DebriefFacts["alerts"]): string {
  if (raised === 0) return t("debrief.noAlerts");
  if (raised !== read) return t("debrief.alertsLines", { count: raised, read, most });
  return read <= most
    ? t("debrief.alertsTogether", { count: raised })
    : t("debrief.alertsSay", { count: raised, most });
}
