/**
 * What people do in one practice run, drawn from a seed before anything is played: the truth that alerts
 * and scores are held against. Times are seconds of the run from C2.
 */
import { seeded } from "../../../hub/people/seeded.ts";
import type { Rig } from "../../../shared/plan/model/plan.ts";
import type { Score } from "../../../shared/review/scores.ts";
import type { Report } from "../../../shared/run/facts/report-schema.ts";

export interface Said {
  /** When it is seen and said. */
  atS: number;
  report: Report;
}

export interface RigScript {
  rigId: string;
  said: Said[];
  /** Out of reach of the network from and until; what is said meanwhile comes afterwards. */
  away: readonly [number, number] | null;
  /** By cue: how it should be judged. */
  scores: Map<string, Score>;
  /** Until when a lead answers a call for help, if there is one. */
  help: { fromS: number; answeredS: number } | null;
}

export interface RunScript {
  seed: string;
  rate: number;
  fromS: number;
  untilS: number;
  /** From a report to the hub, ms of real time. */
  delayMs: () => number;
  rigs: RigScript[];
}

/** Kinds that take a filter off, with focal lengths on both sides of the steps of S4. */
const KINDS = [
  { kind: "tracked-telescope", focalLengthMm: 480 },
  { kind: "tracked-telescope", focalLengthMm: 900 },
  { kind: "tripod-camera", focalLengthMm: 85 },
  { kind: "small-automatic-telescope", focalLengthMm: 250 },
  { kind: "visual-telescope", focalLengthMm: 1200, lookedThrough: true },
] as const;

export function rigsOf(seed: string) {
  const random = seeded(`rigs ${seed}`);
  return Array.from({ length: 3 + Math.floor(random() * 5) }, (_, n) => ({
    id: `rig-${n}`,
    name: `Rig ${n}`,
    ...(KINDS[Math.floor(random() * KINDS.length)] as (typeof KINDS)[number]),
  }));
}

export function scriptOf(seed: string, rigs: readonly Rig[], totalityS: number): RunScript {
  const random = seeded(seed);
  const between = (least: number, most: number) => least + (most - least) * random();
  const fromS = -150;
  const untilS = totalityS + 120;
  const pick = (): Score => {
    const roll = random();
    return roll < 0.45 ? "on time" : roll < 0.68 ? "late" : roll < 0.9 ? "early" : "missed";
  };
  const scripts = rigs.map((rig): RigScript => {
    const said: Said[] = [{ atS: fromS + between(1, 8), report: { filter: "on", looked: true } }];
    const scores = new Map<string, Score>();
    for (const cue of rig.cues) {
      if (cue.action !== "filter-off" && cue.action !== "filter-on") continue;
      const score = pick();
      scores.set(cue.id, score);
      const dueS = cue.offsetS + (cue.anchor === "C3" ? totalityS : 0);
      const [least, most] =
        score === "on time"
          ? [cue.earliestS + 0.5, cue.latestS - 0.5]
          : score === "early"
            ? [cue.earliestS - 15, cue.earliestS - 1]
            : [cue.latestS + 1, cue.latestS + 40];
      if (score !== "missed") said.push({ atS: dueS + between(least, most), report: { cueDone: cue.id } });
    }
    if (random() < 0.3) said.push({ atS: between(fromS + 10, untilS), report: { cardFreeGB: 0.2 } });
    const asks = random() < 0.3 ? between(fromS + 10, untilS - 30) : null;
    if (asks !== null) said.push({ atS: asks, report: { help: true } });
    const leaves = random() < 0.4 ? between(fromS + 20, untilS - 60) : null;
    return {
      rigId: rig.id,
      said: said.sort((a, b) => a.atS - b.atS),
      away: leaves === null ? null : [leaves, leaves + between(5, 50)],
      scores,
      help: asks === null ? null : { fromS: asks, answeredS: asks + between(60, 80) },
    };
  });
  const slow = random() < 0.3;
  return {
    seed,
    rate: random() < 0.5 ? 1 : 1 + Math.floor(random() * 4),
    fromS,
    untilS,
    delayMs: () => (slow ? between(100, 900) : between(3, 40)),
    rigs: scripts,
  };
}
