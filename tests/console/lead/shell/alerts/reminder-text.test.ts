/** What a lead's reminder says, which a phone may show a quarter of an hour later (S1, S6, S13). */
import { describe, expect, it } from "vitest";
import { reminderText } from "../../../../../console/lead/shell/alerts/reminder-text.ts";
import "../../../../../console/words/bundles/plan.ts";
import "../../../../../console/words/bundles/lead.ts";
import { defaultCues } from "../../../../../shared/plan/defaults/default-cues.ts";
import { isFilterOff, isLookUp, makesSafeCue } from "../../../../../shared/run/cues/cue-kinds.ts";
import { rigOf, totalSite } from "../../../../shared/plan/sites-and-rigs.ts";

const LOOK = "Look at your rig.";
const rig = rigOf("tracked-telescope", { lookedThrough: false });
const cues = defaultCues(rig, totalSite(240));
const reminder = (cue: (typeof cues)[number], mode = "plain") =>
  reminderText({
    cueNow: { cue, mode, ownWords: "headline", exposed: false, lookedThrough: false } as never,
  });

describe("a lead's reminder", () => {
  it("says in words only what makes safe: nothing in it takes a filter off or sends eyes to the sky", () => {
    const unsafe = cues.filter((cue) => isFilterOff(cue) || isLookUp(cue));
    expect(unsafe.map(({ action }) => action)).toEqual(["filter-off", "hands-off"]);
    for (const cue of unsafe)
      for (const mode of ["plain", "by-eye", "touch"]) expect(reminder(cue, mode)).toBe(LOOK);
    for (const cue of cues.filter((one) => !makesSafeCue(one))) expect(reminder(cue)).toBe(LOOK);
  });

  it("says what makes safe as the rig's page does, and without a cue that the rig wants looking at", () => {
    const on = cues.find(({ action }) => action === "filter-on");
    expect(on && reminder(on)).toBe("Put the filter on.");
    expect(reminderText({ cueNow: null })).toBe(LOOK);
  });
});
