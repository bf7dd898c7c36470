/** Hands of plans beyond what anybody would carry out: the hub passes calls on while it works them out. */
import { expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { type HandsOfOperator, planHands } from "../../../../shared/plan/hands/hands-plan.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { CUES_MOST } from "../../../../shared/plan/model/vocabulary.ts";
import { rigOf, totalSite } from "../sites-and-rigs.ts";

const gets = totalSite(240);

/** Longest work between two rests, ms of this process's own time: others may have the processor. */
function worked(rigs: Parameters<typeof planHands>[0]["rigs"]): {
  longestMs: number;
  hands: HandsOfOperator[];
} {
  const steps = planHands({ rigs, times: gets.contacts, allowanceOf: () => null });
  let longestMs = 0;
  for (;;) {
    const before = process.cpuUsage();
    const step = steps.next();
    const { user, system } = process.cpuUsage(before);
    longestMs = Math.max(longestMs, (user + system) / 1000);
    if (step.done) return { longestMs, hands: step.value };
  }
}

function rigs(count: number, cuesOf: (rigId: string) => Cue[]) {
  return Array.from({ length: count }, (_, i) => {
    const rig = rigOf("tracked-telescope", { id: `r${i}`, name: `Rig ${i}`, operator: "ann" });
    return { ...rig, cues: cuesOf(rig.id) };
  });
}

const usual = () => defaultCues(rigOf("tracked-telescope"), gets);
/** All of one stretch, in windows of an hour. */
const crowded = () =>
  Array.from(
    { length: CUES_MOST },
    (_, i): Cue => ({
      ...(usual()[0] as Cue),
      id: `own-${i}`,
      anchor: "C2",
      offsetS: i,
      latestS: 3600,
      handsS: 5,
      on: true,
      repeat: null,
    }),
  );

test.each([
  ["three rigs with the usual lists", rigs(3, usual)],
  ["twenty rigs with the usual lists", rigs(20, usual)],
  ["twenty rigs with as many cues as a plan holds, in one hour", rigs(20, crowded)],
])(
  "one person with %s: no step holds the hub up, and everything is accounted for",
  (_, many) => {
    const { longestMs, hands } = worked(many);
    // A call is to be on its way at once; on an idle processor of 2024 the longest is some 20 ms.
    expect(longestMs).toBeLessThan(120);
    const [ann] = hands;
    const named = [...(ann?.order ?? []), ...(ann?.dropped ?? [])].map(
      ({ rigId, cueId }) => `${rigId}/${cueId}`,
    );
    const cues = many.flatMap((rig) =>
      rig.cues.filter(({ handsS, on }) => on && handsS > 0).map(({ id }) => `${rig.id}/${id}`),
    );
    expect(new Set(named)).toEqual(new Set(cues));
    expect(ann?.feasible).toBe(false);
  },
  120_000,
);
