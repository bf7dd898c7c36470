/**
 * Whatever variants a lead has made and however they are switched while filters are open: an open
 * filter has its filter-on cue, an open looked-through rig its eyes-away (S9), at the time that the
 * usual list has them, and overcast never asks for a filter to come off (S11).
 */
import fc from "fast-check";
import { expect, it } from "vitest";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Edit } from "../../../../shared/plan/model/edit.ts";
import type { RigDraft } from "../../../../shared/plan/model/plan.ts";
import { VARIANTS } from "../../../../shared/plan/model/vocabulary.ts";
import { SiteWorld } from "../site-world.ts";

const NOW = Date.UTC(2027, 6, 20);
const S = 1000;
const RIG_IDS = ["west", "eye"] as const;

const anySky = fc.constantFrom("clear" as const, ...VARIANTS);
const anyEdit = fc.record({
  rig: fc.constantFrom(...RIG_IDS),
  variant: fc.constantFrom(...VARIANTS),
  /** A cue by its place in the list, or one of the filter's. */
  at: fc.oneof(
    fc.double({ min: 0, max: 0.999, noNaN: true }),
    fc.constantFrom("filter-off", "filter-on", "eyes-away"),
  ),
  what: fc.constantFrom("out", "off", "later", "earlier", "act", "stay filtered"),
});
const anySwitch = fc.record({
  sky: anySky,
  rigIds: fc.constantFrom(null, ["west"], ["eye"]),
  afterC2S: fc.integer({ min: -40, max: 170 }),
});

function editOf({ id }: Cue, what: string): Edit {
  if (what === "out") return { do: "take out", cueId: id };
  if (what === "off") return { do: "switch", cueId: id, on: false };
  if (what === "act") return { do: "act", cueId: id, action: "check", key: "cue.focus-card-battery" };
  return { do: "move", cueId: id, byS: what === "later" ? 20 : -20 };
}

/** What a lead may well want who thinks of a filter that is on. */
function withoutFilterCues(cues: readonly Cue[]): Edit[] {
  return cues
    .filter(({ action }) => ["filter-off", "filter-on", "eyes-away"].includes(action))
    .map(({ id }) => ({ do: "switch", cueId: id, on: false }));
}

it("leaves an open filter its way back on, whatever sky is named when", () => {
  let [taken, refused] = [0, 0];
  fc.assert(
    fc.property(
      fc.array(anyEdit, { minLength: 4, maxLength: 12 }),
      fc.array(anySwitch, { minLength: 1, maxLength: 6 }),
      (edits, switches) => {
        const world = SiteWorld.planned({}, NOW);
        const { c2, c3 } = world.predicted;
        const usual = new Map(
          world.state.plan.rigs.map((rig) => [
            rig.id,
            rig.cues.filter(({ action }) => action === "filter-on" || action === "eyes-away"),
          ]),
        );
        for (const { rig: id, variant, at, what } of edits) {
          const rig = world.state.plan.rigs.find((one) => one.id === id) as RigDraft & { cues: Cue[] };
          const cue =
            typeof at === "number"
              ? rig.cues[Math.floor(at * rig.cues.length)]
              : rig.cues.find(({ action }) => action === at);
          if (!cue) continue;
          const made = what === "stay filtered" ? withoutFilterCues(rig.cues) : [editOf(cue, what)];
          const more = [...(rig.variants?.[variant] ?? []), ...made];
          const changed = { ...rig, variants: { ...rig.variants, [variant]: more } };
          const ifRevision = world.state.planParts.rigs[id]?.revision ?? 0;
          const decision = world.order({ type: "saveRig", rig: changed, ifRevision }, NOW);
          if ("refusal" in decision) refused++;
          else taken++;
        }
        for (const id of RIG_IDS) world.report(id, { filter: "off", looked: true }, { at: c2 + 12 * S });
        for (const { sky, rigIds, afterC2S } of [...switches].sort((a, b) => a.afterC2S - b.afterC2S)) {
          const now = c2 + afterC2S * S;
          world.order({ type: "chooseVariant", variant: sky, rigIds: rigIds && [...rigIds] }, now);
          for (const id of RIG_IDS) {
            const { cues } = world.rig(id, now);
            for (const cue of usual.get(id) ?? []) {
              const there = cues.find((one) => one.id === cue.id);
              expect(there?.state, `${id} ${cue.id}`).toMatch(/^(ahead|next|now|late)$/);
              expect(there?.dueMs).toBeLessThanOrEqual(c3 + cue.offsetS * S + 1);
            }
            const off = cues.filter(({ cue }) => cue.action === "filter-off");
            const isOvercast = sky === "overcast" && (rigIds === null || rigIds.some((one) => one === id));
            if (isOvercast) for (const { mode } of off) expect(mode).not.toMatch(/plain|by-eye/);
          }
        }
      },
    ),
    { numRuns: 60 },
  );
  expect(taken).toBeGreaterThan(60);
  expect(refused).toBeGreaterThan(10);
}, 60_000);
