/** Dates by ISO 8601 and the IANA zone data of this Node; an Egyptian summer is UTC+3 (tz database). */
import { describe, expect, it } from "vitest";
import { listedRuns, whenText } from "../../../../console/lead/after/runs-list.ts";
import { dateAndTimeText, endText } from "../../../../console/lead/shell/date-text.ts";
import { newRun } from "../../../../shared/run/state.ts";
import { utcMs } from "../../../../shared/time/instants.ts";

const at = (day: number, hour: number) => utcMs(Date.UTC(2027, 6, day, hour, 4, 5));

describe("the runs that are kept", () => {
  it("are listed real first, then practices, the newest first; a run without a plan is none", () => {
    const runs = [
      newRun("practice-a", "practice", at(24, 9)),
      newRun("real-unplanned", "real"),
      newRun("practice-b", "practice", at(25, 9)),
      newRun("real-2027-08-02", "real"),
    ];
    expect(listedRuns(runs).map((run) => run.runId)).toEqual(["real-2027-08-02", "practice-b", "practice-a"]);
  });

  it("say the day of the eclipse, or the site's date and time at which the practice began", () => {
    expect(whenText(newRun("real-2027-08-02", "real"), "Africa/Cairo")).toBe("2 August 2027");
    const late = newRun("practice-a", "practice", at(24, 22));
    expect(whenText(late, "Africa/Cairo")).toBe("25 July 2027, 01:04:05 UTC+3");
    expect(whenText(late, "")).toBe("24 July 2027, 22:04:05 UTC");
    expect(whenText(newRun("practice-old", "practice"), "Africa/Cairo")).toBeNull();
  });

  it("write the time of a zone that this device does not know as UTC", () => {
    expect(dateAndTimeText(at(24, 22), "Nowhere/Land")).toBe("24 July 2027, 22:04:05 UTC");
  });
});

describe("when a practice ends", () => {
  it("has its date only on another day", () => {
    expect(endText(at(24, 23), at(24, 1))).toMatch(/^23:04:05 \S+$/);
    expect(endText(at(25, 0), at(24, 23))).toMatch(/^00:04:05 \S+ \(25 July 2027\)$/);
  });
});
