/** What stands on a person's sheet, and in which order. */
import { describe, expect, test } from "vitest";
import { paperLines } from "../../../../../console/lead/plan/paper/paper-lines.ts";
import { personRows, rigRows } from "../../../../../console/lead/plan/paper/paper-rows.ts";
import type { AssessedHands } from "../../../../../shared/plan/assess/assess-plan.ts";
import { peopleOfRigs } from "../../../../../shared/plan/hands/people.ts";
import { plannedContacts } from "../../../../../shared/run/effective-contacts.ts";
import { RIGS, SiteWorld } from "../../../../shared/run/site-world.ts";

const world = SiteWorld.planned({
  rigs: [
    { ...RIGS[0], operator: "Ada" },
    { ...RIGS[0], id: "east", name: "East telescope", operator: " ada" },
    { ...RIGS[1], operator: "" },
  ],
});
const { state } = world;
const contacts = plannedContacts(state);
const people = peopleOfRigs(state.plan);
const [ada] = people;

type Order = AssessedHands["order"][number];
const at = (rigId: string, cueId: string, startS: number, more: Partial<Order> = {}): Order => ({
  rigId,
  cueId,
  n: 1,
  anchor: "C2",
  startS,
  endS: startS + 6,
  ...more,
});

describe("sheets for people", () => {
  test("are one a pair of hands: names compare as they do for hands, a rig without a name is alone", () => {
    expect(people.map(({ name, rigs }) => [name, rigs.map(({ id }) => id)])).toEqual([
      ["Ada", ["west", "east"]],
      ["", ["eye"]],
    ]);
  });

  test("have all their rigs by time, a series once", () => {
    const rows = personRows(ada?.rigs ?? [], null, state, contacts);
    expect(rows.length).toBe(
      ["west", "east"].reduce((sum, id) => {
        const rig = state.plan.rigs.find((one) => one.id === id);
        return sum + (rig ? rigRows(rig, state, contacts).length : 0);
      }, 0),
    );
    expect(rows.map(({ atMs }) => atMs)).toEqual(rows.map(({ atMs }) => atMs).sort((a, b) => a - b));
    expect(rows.filter(({ one }) => one.cue.id === "partial-before")).toHaveLength(2);
  });

  test("have what wants hands when the schedule has it, who helps, what they help with, and what is left out", () => {
    const hands = {
      order: [
        at("west", "filter-off", -25, { with: ["Ben"] }),
        at("east", "filter-off", -9),
        at("eye", "filter-off", 14, { with: ["Ben"] }),
      ],
      dropped: [{ rigId: "east", cueId: "burst-before", atS: -12, anchor: "C2" as const }],
    };
    const rows = personRows(ada?.rigs ?? [], hands, state, contacts);
    const row = (rigId: string, cueId: string) =>
      rows.find(({ rig, one }) => rig.id === rigId && one.cue.id === cueId);
    const c2 = contacts.predicted.c2 as number;
    expect(row("west", "filter-off")).toMatchObject({ atMs: c2 - 25_000, with: ["Ben"], helping: false });
    expect(row("east", "filter-off")).toMatchObject({ atMs: c2 - 9000, with: [] });
    expect(row("eye", "filter-off")).toMatchObject({ atMs: c2 + 14_000, helping: true });
    expect(rows.filter(({ rig }) => rig.id === "eye")).toHaveLength(1);
    expect(row("east", "burst-before")).toMatchObject({ undone: true });
    expect(row("west", "burst-before")).toMatchObject({ undone: false });
  });

  test("far from totality name the same work at two rigs on one line; near it, and for filters, each has its own", () => {
    const rows = personRows(ada?.rigs ?? [], null, state, contacts);
    const lines = paperLines(rows, contacts);
    expect(lines.length).toBeLessThan(rows.length);
    // Nothing is lost.
    expect(lines.flatMap(({ row, also }) => [row, ...also])).toHaveLength(rows.length);
    const of = (cueId: string) => lines.filter(({ row }) => row.one.cue.id === cueId);
    expect(of("focus-card-battery").map(({ also }) => also.map(({ rig }) => rig.id))).toEqual([["east"]]);
    for (const id of ["filter-off", "filter-on"]) expect(of(id).map(({ also }) => also)).toEqual([[], []]);
    // Ten seconds apart near C2 are two things to do.
    const apart = rows.map((row, n) =>
      row.one.cue.id === "bead-before" ? { ...row, atMs: row.atMs + n * 1000 } : row,
    );
    const beads = paperLines(apart, contacts).filter(({ row }) => row.one.cue.id === "bead-before");
    expect(beads).toHaveLength(2);
  });
});
