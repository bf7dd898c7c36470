/** Orders on parts of the plan: conflicts, undoing, copying, moving, and the variant in force. */
import { describe, expect, it } from "vitest";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { Order } from "../../../../shared/run/orders/commands.ts";
import { OrderSchema, parse } from "../../../../shared/run/orders/commands.ts";
import { asJson, NORTH_SHORE, PALM_FIELD, SiteWorld } from "../site-world.ts";

const NOW = Date.UTC(2027, 6, 20);
const S = 1000;

function give(world: SiteWorld, order: unknown, at = NOW) {
  const parsed = parse(OrderSchema, asJson(order));
  if (!parsed.ok) throw new Error(parsed.refusal.message);
  return world.order(parsed.value as Order, at);
}
const rigOf = (world: SiteWorld, id = "west") => world.state.plan.rigs.find((rig) => rig.id === id) as Rig;
const revisionOf = (world: SiteWorld, id = "west") => world.state.planParts.rigs[id]?.revision ?? 0;
const cueOf = (world: SiteWorld, cueId: string, id = "west") =>
  rigOf(world, id).cues.find((cue) => cue.id === cueId);
const withCue = (rig: Rig, cueId: string, change: Partial<Cue>): Rig => ({
  ...rig,
  cues: rig.cues.map((cue) => (cue.id === cueId ? { ...cue, ...change } : cue)),
});
function saveRig(world: SiteWorld, rig: unknown, id = "west") {
  return give(world, { type: "saveRig", rig, ifRevision: revisionOf(world, id) });
}
const move = (world: SiteWorld, site: unknown) => {
  const { group, eclipse, limb } = world.state.plan;
  const ifRevision = world.state.planParts.site?.revision ?? 0;
  return give(world, { type: "saveSite", part: { group, eclipse, limb, site }, ifRevision });
};

describe("an edit of one rig", () => {
  it("is one event of that rig, and none of another", () => {
    const world = SiteWorld.planned({}, NOW);
    const before = world.log.length;
    saveRig(world, withCue(rigOf(world), "corona-brackets", { offsetS: 12 }));
    const [event, ...more] = world.log.slice(before);
    expect(more).toEqual([]);
    expect(event).toMatchObject({ type: "rigPlanned", payload: { revision: 2, rig: { id: "west" } } });
    expect(revisionOf(world)).toBe(2);
    expect(revisionOf(world, "eye")).toBe(1);
  });

  it("is refused when somebody saved that rig since, who is named, and not when another was saved", () => {
    const world = SiteWorld.planned({}, NOW);
    const old = rigOf(world);
    saveRig(world, { ...rigOf(world, "eye"), operator: "Ben" }, "eye");
    expect(give(world, { type: "saveRig", rig: { ...old, operator: "Ada" }, ifRevision: 1 })).toHaveProperty(
      "events",
    );
    const late = give(world, { type: "saveRig", rig: { ...old, operator: "Chidi" }, ifRevision: 1 });
    expect(late).toMatchObject({
      refusal: { code: "stale-plan", data: { revision: 3, by: "lead:Ada", savedUtcMs: NOW } },
    });
    expect(rigOf(world).operator).toBe("Ada");
  });
});

describe("undoing", () => {
  it("takes one edit back at a time, down to what it was before each", () => {
    const world = SiteWorld.planned({}, NOW);
    const undo = () => give(world, { type: "takeBackEdit", rigId: "west", ifRevision: revisionOf(world) });
    saveRig(world, withCue(rigOf(world), "corona-brackets", { offsetS: 10 }));
    saveRig(world, withCue(rigOf(world), "corona-brackets", { offsetS: 14 }));
    saveRig(world, withCue(rigOf(world), "cap-stop", { say: "Cap, then home." }));
    const { cues: _cues, edits: _edits, ...bare } = rigOf(world);
    saveRig(world, bare);
    expect(cueOf(world, "cap-stop")?.say).toBeNull();
    undo();
    expect(cueOf(world, "cap-stop")?.say).toBe("Cap, then home.");
    expect(cueOf(world, "corona-brackets")?.offsetS).toBe(14);
    undo();
    undo();
    expect(cueOf(world, "corona-brackets")?.offsetS).toBe(10);
    undo();
    expect(cueOf(world, "corona-brackets")?.offsetS).toBe(8);
    expect(rigOf(world)).not.toHaveProperty("edits");
    expect(undo()).toMatchObject({ refusal: { code: "not-found", field: "rigId" } });
  });
});

describe("a move of the site", () => {
  it("says of each edit what became of it, and makes it again where it fits again", () => {
    const world = SiteWorld.planned({}, NOW);
    saveRig(world, withCue(rigOf(world), "corona-brackets", { offsetS: 12 }));
    saveRig(world, withCue(rigOf(world), "cap-stop", { say: "Cap, then home." }));
    const own = {
      ...(cueOf(world, "cap-stop") as Cue),
      id: "mine",
      key: null,
      say: "Off.",
      action: "filter-off",
    };
    const off = { ...own, anchor: "C2", offsetS: -15, earliestS: 0, latestS: 5 };
    saveRig(world, { ...rigOf(world), cues: [...rigOf(world).cues, off] });
    const home = rigOf(world);
    const decision = move(world, NORTH_SHORE);
    expect(rigOf(world).edits).toMatchObject([
      { do: "move", cueId: "corona-brackets", byS: 4, came: "unfit" },
      { do: "say", cueId: "cap-stop" },
      { do: "add", cueId: "mine", came: "refused", rule: "S2" },
    ]);
    expect(rigOf(world).edits?.[1]).not.toHaveProperty("came");
    expect(decision).toMatchObject({
      notes: expect.arrayContaining([
        { code: "cue-dropped", rigId: "west", cueId: "corona-brackets", data: { say: "" } },
        { code: "edit-dropped", rigId: "west", cueId: "mine", data: { rule: "S2" } },
      ]),
    });
    move(world, PALM_FIELD);
    const byId = ({ cues }: Rig) => [...cues].sort((a, b) => (a.id < b.id ? -1 : 1));
    expect(byId(rigOf(world))).toEqual(byId(home));
    expect(rigOf(world).edits).toEqual(home.edits);
  });
});

describe("copying to another rig", () => {
  it("copies the edits, and leaves out what the rules forbid there, saying so", () => {
    const second = { id: "long", name: "Long one", kind: "tracked-telescope", focalLengthMm: 2000 };
    const world = SiteWorld.planned(
      { rigs: [{ ...second, id: "west", name: "West", focalLengthMm: 80 }, second] },
      NOW,
    );
    saveRig(
      world,
      withCue(withCue(rigOf(world), "filter-off", { offsetS: -34 }), "cap-stop", { say: "Home." }),
    );
    const copied = give(world, { type: "copyEdits", fromRigId: "west", toRigId: "long", ifRevision: 1 });
    expect(copied).toMatchObject({
      notes: [{ code: "edit-dropped", cueId: "filter-off", data: { rule: "S4" } }],
    });
    expect(cueOf(world, "cap-stop", "long")?.say).toBe("Home.");
    expect(cueOf(world, "filter-off", "long")?.offsetS).toBe(-20);
    expect(rigOf(world, "long").edits).toHaveLength(2);
  });
});

describe("a variant", () => {
  const thin = [
    { do: "move", cueId: "corona-brackets", byS: 3 },
    { do: "switch", cueId: "bead-before", on: false },
  ];

  it("is refused where it would touch what makes things safe (S9), or break a rule of the eye", () => {
    const world = SiteWorld.planned({}, NOW);
    const withThin = (edit: unknown) => saveRig(world, { ...rigOf(world), variants: { thin: [edit] } });
    expect(withThin({ do: "switch", cueId: "filter-on", on: false })).toMatchObject({
      refusal: { rule: expect.stringMatching(/S1|S9/), data: { findings: expect.any(Array) } },
    });
    expect(withThin({ do: "move", cueId: "filter-on", byS: 2 })).toMatchObject({
      refusal: { code: "safety-rule", rule: "S9", message: expect.stringContaining('variant "thin"') },
    });
    expect(withThin({ do: "move", cueId: "filter-off", byS: -120 })).toMatchObject({
      refusal: {
        code: "needs-acknowledgement",
        rule: "S4",
        field: "rigs.0.variants.thin.filter-off.offsetS",
      },
    });
    expect(world.state.plan.revision).toBe(1);
  });

  it("in force for the site or one rig is what phones show, in that run alone, until another is named", () => {
    const world = SiteWorld.planned({}, NOW);
    saveRig(world, { ...rigOf(world), variants: { thin } });
    const { c2 } = world.predicted;
    const at = c2 - 200 * S;
    const cue = (id: string) => world.rig("west", at).cues.find((one) => one.id === id);
    expect(cue("corona-brackets")?.dueMs).toBe(c2 + 8 * S);
    expect(cue("bead-before")).toBeDefined();
    give(world, { type: "chooseVariant", variant: "thin", rigIds: null }, at);
    expect(cue("corona-brackets")?.dueMs).toBe(c2 + 11 * S);
    expect(cue("bead-before")).toBeUndefined();
    give(world, { type: "chooseVariant", variant: "clear", rigIds: ["west"] }, at);
    expect(cue("corona-brackets")?.dueMs).toBe(c2 + 8 * S);
    expect(give(world, { type: "chooseVariant", variant: "thin", rigIds: ["nobody"] }, at)).toMatchObject({
      refusal: { code: "not-found", field: "rigIds" },
    });
    give(world, { type: "chooseVariant", variant: "thin" }, NOW);
    world.practise(NOW, -200);
    const practised = world.rig("west", NOW + 1).cues.find((one) => one.id === "corona-brackets");
    expect(practised?.dueMs).toBe(c2 + 8 * S);
  });

  it("overcast keeps filters on (S11), while what puts one on again is there as ever (S9)", () => {
    const world = SiteWorld.planned({}, NOW);
    const { c2, c3 } = world.predicted;
    world.report("west", { filter: "on", sky: "clear" }, { at: c2 - 60 * S });
    const off = () => world.rig("west", c2 - 25 * S).cues.find(({ cue }) => cue.action === "filter-off");
    expect(off()?.mode).toBe("plain");
    give(world, { type: "chooseVariant", variant: "overcast" }, c2 - 50 * S);
    expect(off()?.mode).toBe("overcast");
    world.report("west", { filter: "off" }, { at: c2 - 10 * S });
    const on = world.rig("west", c3 - 5 * S).cues.find(({ cue }) => cue.action === "filter-on");
    expect(on).toMatchObject({ dueMs: c3 + 5 * S, mode: "plain" });
  });

  it("keeps the marks of its own cues: a report of one is no report of nothing", () => {
    const world = SiteWorld.planned({}, NOW);
    const cue = { ...(cueOf(world, "corona-brackets") as Cue), id: "cloud-flat", key: null, say: "A flat." };
    saveRig(world, { ...rigOf(world), variants: { thin: [{ do: "add", cueId: "cloud-flat", cue }] } });
    const event = world.report("west", { cueDone: "cloud-flat" }, { at: NOW });
    expect(event.payload).toMatchObject({ flags: [] });
  });
});
