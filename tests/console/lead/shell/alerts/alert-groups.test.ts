/** How alerts are listed: our own rule, no outside source. */
import { describe, expect, it } from "vitest";
import { alertGroups, saidOnce, shownFirst } from "../../../../../console/lead/shell/alerts/alert-groups.ts";
import type { Alert } from "../../../../../shared/run/alerts/alerts.ts";
import { utcMs } from "../../../../../shared/time/instants.ts";

const alert = (
  cause: Alert["cause"],
  priority: Alert["priority"],
  rigId: string | null,
  since = 0,
): Alert => ({
  id: rigId ? `${cause}:${rigId}` : cause,
  cause,
  priority,
  rigId,
  sinceUtcMs: utcMs(since),
});

describe("the list of alerts", () => {
  it("says once what several rigs have, with the one that has had it longest first", () => {
    const groups = alertGroups([
      alert("filter-unknown", "caution", "kite", 500),
      alert("filter-unknown", "caution", "plover", 100),
    ]);
    expect(groups).toHaveLength(1);
    expect(groups[0]).toMatchObject({ rigIds: ["plover", "kite"], sinceUtcMs: 100 });
  });

  it("never hides one rig's open filter or call for help behind another's", () => {
    const groups = alertGroups([
      alert("exposed", "danger", "kite"),
      alert("exposed", "danger", "plover"),
      alert("help", "caution", "kite"),
      alert("help", "caution", "plover"),
    ]);
    expect(groups.map((group) => [group.cause, group.rigIds])).toEqual([
      ["exposed", ["kite"]],
      ["exposed", ["plover"]],
      ["help", ["kite"]],
      ["help", ["plover"]],
    ]);
  });

  it("keeps one cause of two priorities apart", () => {
    const groups = alertGroups([
      alert("battery-low", "advice", "kite"),
      alert("battery-low", "caution", "plover"),
    ]);
    expect(groups.map((group) => group.priority)).toEqual(["caution", "advice"]);
  });

  it("puts danger first, then caution, then advice", () => {
    const groups = alertGroups([
      alert("card-low", "advice", "kite", 0),
      alert("clock-bound", "danger", null, 900),
      alert("link-lost", "caution", "kite", 50),
    ]);
    expect(groups.map((group) => group.cause)).toEqual(["clock-bound", "link-lost", "card-low"]);
    expect(groups[0]?.rigIds).toEqual([]);
  });
});

describe("a rig without a phone", () => {
  it("is said once: where nobody can be asked, the unknown filter is not said beside it", () => {
    const both = [alert("filter-unknown", "caution", "kite"), alert("not-joined", "caution", "kite")];
    expect(saidOnce(both).map((one) => one.cause)).toEqual(["not-joined"]);
    expect(alertGroups(both).map((group) => group.cause)).toEqual(["not-joined"]);
  });

  it("lists what eyes hang on when that which said it as well is put away (S9, S10)", () => {
    for (const [sayer, other] of [
      ["not-joined", "filter-unknown"],
      ["wheel-open", "filter-disputed"],
    ] as const) {
      const both = [alert(sayer, "caution", "kite"), alert(other, "caution", "kite")];
      const listed = (isShelved: (id: string) => boolean) =>
        alertGroups(both, () => "", isShelved).map((group) => group.cause);
      expect(listed(() => false)).toEqual([sayer]);
      expect(listed((id) => id === `${sayer}:kite`).sort()).toEqual([sayer, other].sort());
    }
  });

  it("takes the place of no graver sentence and of no other rig's", () => {
    const early = [alert("filter-unknown", "caution", "kite"), alert("not-joined", "advice", "kite")];
    expect(saidOnce(early)).toEqual(early);
    const two = [alert("filter-unknown", "caution", "plover"), alert("not-joined", "caution", "kite")];
    expect(saidOnce(two)).toEqual(two);
  });
});

describe("one cause", () => {
  it("is one alert: a person who calls from all rigs of one phone calls once, and is answered for all", () => {
    const calls = ["kite", "plover", "swift", "tern"].map((id) => alert("help", "caution", id));
    const [ada, ben] = alertGroups(calls, (id) => (id === "tern" ? "Ben" : "Ada"));
    expect(ada).toMatchObject({
      rigIds: ["kite", "plover", "swift"],
      alertIds: ["help:kite", "help:plover", "help:swift"],
    });
    expect(ben).toMatchObject({ rigIds: ["tern"] });
  });
});

describe("the list while it is closed", () => {
  const groups = alertGroups([
    alert("exposed", "danger", "kite"),
    alert("exposed", "danger", "plover"),
    alert("clock-bound", "danger", null),
    alert("help", "caution", "kite"),
    alert("card-low", "advice", "kite"),
  ]);

  it("shows the worst few", () => {
    expect(shownFirst(groups.slice(3), 1).map((group) => group.cause)).toEqual(["help"]);
    expect(shownFirst(groups, 4)).toHaveLength(4);
    expect(shownFirst([], 2)).toEqual([]);
  });

  it("never hides danger", () => {
    expect(shownFirst(groups, 2).map((group) => group.priority)).toEqual(["danger", "danger", "danger"]);
  });
});
