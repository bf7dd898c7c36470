/** The hands of a whole plan: default cue lists of real places, worked by hand where it is said. */
import { describe, expect, test } from "vitest";
import { atOnce } from "../../../../shared/eclipse/steps.ts";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { planHands } from "../../../../shared/plan/hands/hands-plan.ts";
import { MOST_SLACK_S } from "../../../../shared/plan/hands/solve.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import { rigOf, totalSite } from "../sites-and-rigs.ts";

const gets = totalSite(240);
function rig(id: string, operator: string, more: Partial<Rig> = {}): Rig {
  const plain = rigOf("tracked-telescope", { id, name: id, operator, ...more });
  return { ...plain, cues: defaultCues(plain, gets) };
}
function hands(rigs: Rig[], walkS?: (a: string, b: string) => number) {
  const allowanceOf = (id: string) => filterAllowance(rigs.find((one) => one.id === id) as Rig, gets);
  return atOnce(planHands({ rigs, times: gets.contacts, allowanceOf, ...(walkS ? { walkS } : {}) }));
}
const filtersOnly = (one: Rig): Rig => ({
  ...one,
  cues: one.cues.filter(({ action }) => action === "filter-off" || action === "filter-on"),
});

describe("hands", () => {
  test("one person with one rig has time for its whole default list", () => {
    const [ann] = hands([rig("r1", "Ann")]);
    expect(ann).toMatchObject({ operator: "Ann", feasible: true, exact: true, dropped: [], mends: [] });
    expect(ann?.slackS).toBeGreaterThan(0);
    // In the order of the list, at the cues' own times where nothing else is wanted.
    const off = ann?.order.find(({ cueId }) => cueId === "filter-off");
    expect(off).toMatchObject({ rigId: "r1", anchor: "C2", startS: -20, endS: -14 });
  });

  test("four filters of one person: off in time, but not with four bursts", () => {
    const rigs = ["r1", "r2", "r3", "r4"].map((id) => rig(id, " ann "));
    // By hand: off from C2−30 to C2+10, 6 s each and 5 s of walking: 0, 11, 22, 33 s after C2−30. On from
    // C3−15 to C3+15, 8 s each: 0, 13, 26 s after C3−15; a fourth would begin 9 s too late.
    const [three] = hands(rigs.slice(0, 3).map(filtersOnly));
    expect(three).toMatchObject({ feasible: true, rigIds: ["r1", "r2", "r3"] });
    const [four] = hands(rigs.map(filtersOnly));
    expect(four).toMatchObject({ feasible: false, dropped: [{ cueId: "filter-on", anchor: "C3", atS: 5 }] });
    expect(four?.order.filter(({ cueId }) => cueId === "filter-off")).toHaveLength(4);
    const changes = four?.mends.map((mend) => mend.changes);
    expect(changes?.[0]).toMatchObject([{ kind: "earlier", byS: 9 }]);
    const [ann] = hands(rigs);
    expect(ann?.feasible).toBe(false);
    expect(ann?.slackS).toBeNull();
    expect(ann?.mends.length).toBeGreaterThan(0);
    for (const { changes } of ann?.mends ?? [])
      for (const change of changes)
        if (change.kind === "drop") expect(change.taskId).not.toMatch(/filter-on/);
  });

  test("a long way between rigs is a reason, and a rig that names nobody has hands of its own", () => {
    const rigs = [rig("r1", "ann"), rig("r2", "Ann")].map(filtersOnly);
    expect(hands(rigs)[0]?.feasible).toBe(true);
    expect(hands(rigs, (a, b) => (a === b ? 0 : 60))[0]?.feasible).toBe(false);
    const apart = hands([rig("r1", ""), rig("r2", "")].map(filtersOnly), () => 60);
    expect(apart.map(({ feasible, slackS }) => [feasible, slackS])).toEqual([
      [true, MOST_SLACK_S],
      [true, MOST_SLACK_S],
    ]);
  });

  test("a cue that is off and one that wants no hands are no tasks", () => {
    const one = rig("r1", "ann");
    const off = { ...one, cues: one.cues.map((cue) => ({ ...cue, on: false })) };
    expect(hands([off])[0]?.order).toEqual([]);
    expect(hands([one])[0]?.order.map(({ cueId }) => cueId)).not.toContain("look-up");
  });
});
