/** Cues that go along with another cue of their rig. */
import { describe, expect, it } from "vitest";
import { followed } from "../../../../shared/plan/edits/follow.ts";
import { rigInVariant } from "../../../../shared/plan/edits/variant-cues.ts";
import { NO_ECLIPSE } from "../../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { EMPTY_PLAN } from "../../../../shared/plan/model/empty-plan.ts";
import type { Plan, RigDraft } from "../../../../shared/plan/model/plan.ts";
import { settlePlan } from "../../../../shared/plan/settle-plan.ts";
import { ownCue, rigOf, totalSite } from "../sites-and-rigs.ts";

const home = totalSite(180);
const at = (cues: readonly Cue[], id: string) => {
  const cue = cues.find((one) => one.id === id);
  return cue && `${cue.anchor} ${cue.offsetS}`;
};
const own = (id: string, part: Partial<Cue>) => ownCue({ id, ...part });

function saved(plan: Plan, rig: RigDraft, gets = home): Plan {
  const result = settlePlan({ ...plan, rigs: [rig] }, plan, gets, plan === EMPTY_PLAN ? NO_ECLIPSE : home);
  if ("refusal" in result) throw new Error(result.refusal.message);
  return result.plan;
}
const { cues: _none, ...telescope } = rigOf("tracked-telescope");
const begun = saved(EMPTY_PLAN, telescope);
const rig = begun.rigs[0]!;
const moved = (cues: readonly Cue[], id: string, part: Partial<Cue>) =>
  cues.map((cue) => (cue.id === id ? { ...cue, ...part } : cue));
const withGlove = [...rig.cues, own("glove", { along: { cueId: "filter-off", byS: -15 } })];

describe("a cue that goes along with another", () => {
  it("stands so long after it, over several, and moves with it", () => {
    const cues = [
      own("a", { anchor: "C3", offsetS: 10 }),
      own("b", { along: { cueId: "a", byS: -4 } }),
      own("c", { along: { cueId: "b", byS: 0.1 } }),
    ];
    const there = followed(cues);
    expect([at(there, "b"), at(there, "c")]).toEqual(["C3 6", "C3 6.1"]);
    expect(at(followed(moved(there, "a", { anchor: "C2", offsetS: -60 })), "c")).toBe("C2 -63.9");
  });

  it("stays where it is when the other is gone, when they go in a circle, or when it would lie too far", () => {
    const round = [
      own("a", { offsetS: 5, along: { cueId: "b", byS: 1 } }),
      own("b", { offsetS: 7, along: { cueId: "a", byS: 1 } }),
      own("c", { offsetS: 9, along: { cueId: "nobody", byS: 1 } }),
      own("d", { offsetS: 14_000 }),
      own("e", { offsetS: 3, along: { cueId: "d", byS: 1000 } }),
    ];
    expect(followed(round)).toEqual(round);
  });

  it("is saved with the time that it comes to, and follows when a lead moves the other", () => {
    const plan = saved(begun, { ...rig, cues: withGlove });
    expect(at(plan.rigs[0]!.cues, "glove")).toBe("C2 -35");
    const { edits: _edits, ...now } = plan.rigs[0]!;
    const later = saved(plan, { ...now, cues: moved(now.cues, "filter-off", { offsetS: -12 }) });
    expect(at(later.rigs[0]!.cues, "glove")).toBe("C2 -27");
  });

  it("follows under a sky for which the other is moved, and again when the clear list changes", () => {
    const thin = [{ do: "move" as const, cueId: "filter-off", byS: 8 }];
    const plan = saved(begun, { ...rig, cues: withGlove, variants: { thin } });
    expect(at(rigInVariant(plan.rigs[0]!, "thin").cues, "glove")).toBe("C2 -27");
    const { edits: _edits, ...now } = plan.rigs[0]!;
    const glove = now.cues.find(({ id }) => id === "glove")!;
    const far = moved(now.cues, "glove", { along: { ...glove.along!, byS: -30 } });
    const later = saved(plan, { ...now, cues: far });
    expect(at(rigInVariant(later.rigs[0]!, "thin").cues, "glove")).toBe("C2 -42");
    expect(later.rigs[0]!.variants?.thin?.length).toBe(2);
  });

  it("no more does once it is moved by itself", () => {
    const plan = saved(begun, { ...rig, cues: withGlove });
    const { edits: _edits, ...now } = plan.rigs[0]!;
    const { along: _along, ...glove } = now.cues.find(({ id }) => id === "glove")!;
    const cues = now.cues.map((cue) => (cue.id === "glove" ? { ...glove, offsetS: -100 } : cue));
    const alone = saved(plan, { ...now, cues });
    const { edits: _more, ...then } = alone.rigs[0]!;
    const later = saved(alone, { ...then, cues: moved(then.cues, "filter-off", { offsetS: -12 }) });
    expect(at(later.rigs[0]!.cues, "glove")).toBe("C2 -100");
  });

  it("obeys the rules by the time that it comes to", () => {
    const cues = moved(rig.cues, "filter-off", { along: { cueId: "bead-before", byS: 5 } });
    const result = settlePlan({ ...begun, rigs: [{ ...rig, cues }] }, begun, home, home);
    expect("refusal" in result && result.refusal.rule).toBe("S4");
  });
});
