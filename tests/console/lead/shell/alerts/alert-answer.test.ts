/** Every alert can be answered where it is read. */
import { describe, expect, it } from "vitest";
import { answerTo } from "../../../../../console/lead/shell/alerts/alert-answer.ts";
import "../../../../../console/words/bundles/lead.ts";
import "../../../../../console/words/bundles/plan.ts";
import type { AlertCause } from "../../../../../shared/run/alerts/alerts.ts";
import { HUB_ALERTS } from "../../../../../shared/run/alerts/hub-alerts.ts";
import { RIG_ALERTS } from "../../../../../shared/run/alerts/rig-alerts.ts";
import { SITE_ALERTS } from "../../../../../shared/run/alerts/site-alerts.ts";

const causes = (table: object) => Object.keys(table) as AlertCause[];
const rig = (id: string) => ({ rig: { id, name: id, operator: "" }, cueNow: null }) as never;

describe("an alert is answered where it is read", () => {
  it.each(causes(RIG_ALERTS))(
    "%s of one rig: by words to it, by coming, or where the rig is open",
    (cause) => {
      const answer = answerTo(cause, [rig("west")]);
      if (answer.is === "say") expect(answer.text).toMatch(/^\S.*\.$/);
      else if (answer.is === "help") expect(answer.rigIds).toEqual(["west"]);
      else if (answer.is === "come") expect(cause).toBe("link-lost");
      else expect([answer.screen, answer.item]).toEqual(["array", "west"]);
    },
  );

  it.each([...causes(SITE_ALERTS), ...causes(HUB_ALERTS)])(
    "%s: on the screen of what it is about",
    (cause) => {
      expect(answerTo(cause, [])).toMatchObject({ is: cause === "links-lost" ? "come" : "open" });
    },
  );

  // S1, S6, S13: a message may be read late.
  it("an open filter, and a late one, are answered by words that only make safe", () => {
    const open = { cue: { action: "filter-on", say: "" }, mode: "plain", ownWords: "headline" };
    const late = { rig: { id: "w", name: "w", operator: "" }, cueNow: open } as never;
    for (const cause of ["exposed", "filter-late"] as const)
      expect(answerTo(cause, [late])).toEqual({ is: "say", ask: false, text: "Put the filter on." });
    expect(answerTo("still-filtered", [late, rig("eye")])).toMatchObject({ text: "Look at your rig." });
  });
});
