/** The hands of a whole plan: default cue lists of real places, worked by hand where it is said. */
import { describe, expect, test } from "vitest";
import { atOnce } from "../../../../shared/eclipse/steps.ts";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { planHands } from "../../../../shared/plan/hands/hands-plan.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import { numbersFrom } from "../../../support/random.ts";
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
    // By hand: off from C2−30 s and by C2+10 s, 6 s each and 5 s of walking: done 6, 17, 28, 39 s after C2−30.
    // On from C3−15 s and by C3+15 s (S4), 8 s each: done 8 and 21 s after C3−15; a third 4 s too late.
    const [two] = hands(rigs.slice(0, 2).map(filtersOnly));
    expect(two).toMatchObject({ feasible: true, rigIds: ["r1", "r2"] });
    const [three] = hands(rigs.slice(0, 3).map(filtersOnly));
    expect(three).toMatchObject({ feasible: false, dropped: [{ cueId: "filter-on", anchor: "C3", atS: 5 }] });
    expect(three?.mends[0]?.changes).toMatchObject([{ kind: "earlier", byS: 4 }]);
    const [four] = hands(rigs.map(filtersOnly));
    expect(four).toMatchObject({
      feasible: false,
      dropped: [{ cueId: "filter-on" }, { cueId: "filter-on" }],
    });
    expect(four?.order.filter(({ cueId }) => cueId === "filter-off")).toHaveLength(4);
    // From 8 s before C3+15 back in steps of 13 s: at 7, −6, −19, −32 s; the last two begin 4 and 17 s earlier.
    const earlier = four?.mends[0]?.changes.map((change) => (change.kind === "earlier" ? change.byS : 0));
    expect(earlier?.sort((a, b) => a - b)).toEqual([4, 17]);
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
    // From C3−15 s and done by C3+15 s, 8 s of hands: 22 s to spare.
    expect(apart.map(({ feasible, slackS }) => [feasible, slackS])).toEqual([
      [true, 22],
      [true, 22],
    ]);
  });

  test("a cue that is off and one that wants no hands are no tasks", () => {
    const one = rig("r1", "ann");
    const off = { ...one, cues: one.cues.map((cue) => ({ ...cue, on: false })) };
    expect(hands([off])[0]?.order).toEqual([]);
    expect(hands([one])[0]?.order.map(({ cueId }) => cueId)).not.toContain("look-up");
  });
});

describe("work for two, and a tool that is there once", () => {
  const off = (one: Rig, part: object): Rig => ({
    ...one,
    cues: filtersOnly(one).cues.map((cue) => (cue.action === "filter-off" ? { ...cue, ...part } : cue)),
  });
  const startOf = (found: ReturnType<typeof hands>, operator: string, rigId: string) =>
    found
      .find((one) => one.operator === operator)
      ?.order.find((one) => one.rigId === rigId && one.cueId === "filter-off");

  test("two do it together, then walk back to their own", () => {
    const found = hands([off(rig("r1", "Ann"), { people: 2 }), off(rig("r2", "Ben"), {})]);
    expect(found.map(({ feasible, exact }) => [feasible, exact])).toEqual([
      [true, true],
      [true, true],
    ]);
    const [ann, ben] = [startOf(found, "Ann", "r1"), startOf(found, "Ben", "r1")];
    expect(ann).toMatchObject({ with: ["Ben"] });
    expect(ben).toMatchObject({ with: ["Ann"], startS: ann?.startS });
    // 6 s of hands and 5 s of walking lie between the two begins, whichever comes first.
    const own = startOf(found, "Ben", "r2");
    expect(Math.abs((own?.startS ?? 0) - (ben?.startS ?? 0))).toBeGreaterThanOrEqual(11);
    expect(own).not.toHaveProperty("with");
  });

  test("one alone cannot, and nobody is offered who is not there", () => {
    const [ann] = hands([off(rig("r1", "Ann"), { people: 2 })]);
    expect(ann).toMatchObject({ feasible: false, slackS: null, dropped: [{ cueId: "filter-off" }] });
    expect(ann?.mends.flatMap(({ changes }) => changes.map(({ kind }) => kind))).toEqual(["drop"]);
  });

  test("who has nothing to do meanwhile helps, and leaves the others alone", () => {
    const idle: Rig = { ...rig("r3", "Cyd"), cues: [] };
    const found = hands([off(rig("r1", "Ann"), { people: 2 }), off(rig("r2", "Ben"), {}), idle]);
    expect(startOf(found, "Ann", "r1")).toMatchObject({ with: ["Cyd"], startS: -20 });
    expect(startOf(found, "Ben", "r2")).toMatchObject({ startS: -20 });
  });

  test("a tool is used at one rig at a time, whoever writes its name how, and carried between", () => {
    const rigs = [off(rig("r1", "Ann"), { tool: "Key" }), off(rig("r2", "Ben"), { tool: " key" })];
    const found = hands(rigs, (a, b) => (a === b ? 0 : 9));
    const [a, b] = [startOf(found, "Ann", "r1"), startOf(found, "Ben", "r2")];
    expect(found.every(({ feasible }) => feasible)).toBe(true);
    // 6 s of hands and 9 s on the way.
    expect(Math.abs((a?.startS ?? 0) - (b?.startS ?? 0))).toBeGreaterThanOrEqual(15);
    const apart = hands([off(rig("r1", "Ann"), { tool: "key" }), off(rig("r2", "Ben"), { tool: "wrench" })]);
    expect(startOf(apart, "Ann", "r1")?.startS).toBe(startOf(apart, "Ben", "r2")?.startS);
  });

  test("in any plan nobody is at two rigs at once, and nobody helps who is not told so", () => {
    for (let seed = 1; seed <= 10; seed++) {
      const next = numbersFrom(seed);
      const people = ["Ann", "Ben", "Cyd"].slice(0, 2 + Math.floor(next() * 2));
      const rigs = ["r1", "r2", "r3", "r4"].map((id) => {
        const one = rig(id, people[Math.floor(next() * people.length)] as string);
        const part = (): object => ({
          ...(next() < 0.3 && { people: 2 }),
          ...(next() < 0.3 && { tool: "key" }),
        });
        const cues = one.cues.filter(({ anchor }) => anchor === "C2" || anchor === "C3");
        return { ...one, cues: cues.filter(() => next() < 0.5).map((cue) => ({ ...cue, ...part() })) };
      });
      const found = hands(rigs, (a, b) => (a === b ? 0 : 7));
      const begins = new Map<string, number>();
      for (const { operator, order } of found) {
        let last = { endS: Number.NEGATIVE_INFINITY, rigId: "" };
        for (const one of order) {
          const contact = gets.contacts[one.anchor.toLowerCase() as "c2"] as number;
          const [startS, endS] = [contact / 1000 + one.startS, contact / 1000 + one.endS];
          const walk = one.rigId === last.rigId || last.rigId === "" ? 0 : 7;
          expect(startS, `seed ${seed} ${operator}`).toBeGreaterThanOrEqual(last.endS + walk - 1e-6);
          last = { endS, rigId: one.rigId };
          const key = `${one.rigId}/${one.cueId}/${Math.round(startS)}`;
          begins.set(key, (begins.get(key) ?? 0) + 1);
          const cue = rigs.find(({ id }) => id === one.rigId)?.cues.find(({ id }) => id === one.cueId);
          expect(one.with?.length ?? 0).toBe(((cue as { people?: number }).people ?? 1) - 1);
        }
      }
      for (const [key, count] of begins) {
        const [rigId, cueId] = key.split("/");
        const cue = rigs.find(({ id }) => id === rigId)?.cues.find(({ id }) => id === cueId);
        expect(count, `seed ${seed} ${key}`).toBe((cue as { people?: number }).people ?? 1);
      }
    }
  });
});
