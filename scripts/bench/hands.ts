/**
 * The schedule of hands: twelve tasks of three people at six rigs, with and without work for two and
 * a tool that is there once. Seeded, so that two runs solve the same; processor time, which a busy machine
 * changes little.
 */

import { seeded } from "../../hub/people/seeded.ts";
import { solveHands } from "../../shared/plan/hands/solve.ts";
import type { HandsProblem, Task } from "../../shared/plan/hands/task.ts";

type Figure = { figure: string; value: number; unit: string };

const CASES = 200;
const WARM = 20;

function someProblem(seed: number, roomS: number, together: boolean): HandsProblem {
  const next = seeded(`hands ${seed}`);
  const who = ["ann", "ben", "cyd"];
  const tasks = Array.from({ length: 12 }, (_, i): Task => {
    const earliestS = Math.floor(next() * 60);
    const two = together && next() < 0.2;
    return {
      id: `t${i}`,
      rigId: `r${Math.floor(next() * 6)}`,
      earliestS,
      latestS: earliestS + Math.floor(next() * roomS),
      durationS: 2 + Math.floor(next() * 8),
      who,
      people: two ? 2 : 1,
      ...(two && { own: who[Math.floor(next() * 3)] }),
      ...(together && next() < 0.2 && { tool: "key" }),
      must: next() < 0.5,
      weight: 1 + Math.floor(next() * 5),
    };
  });
  return { tasks, walkS: (a, b) => (a === b ? 0 : 4) };
}

export async function run(): Promise<Figure[]> {
  const figures: Figure[] = [];
  for (const together of [false, true])
    for (const roomS of [15, 40]) {
      const took: number[] = [];
      let exact = 0;
      for (let seed = 1; seed <= CASES + WARM; seed++) {
        const problem = someProblem(seed, roomS, together);
        const before = process.cpuUsage();
        const solution = solveHands(problem);
        const { user, system } = process.cpuUsage(before);
        if (seed <= WARM) continue;
        took.push((user + system) / 1000);
        if (solution.exact) exact++;
      }
      took.sort((a, b) => a - b);
      const which = `12 tasks, 3 people, windows up to ${roomS} s${together ? ", pairs and a tool" : ""}`;
      const at = (share: number) =>
        Math.round((took[Math.min(CASES - 1, Math.floor(share * CASES))] as number) * 10) / 10;
      figures.push(
        { figure: `${which}: median`, value: at(0.5), unit: "ms" },
        { figure: `${which}: p95`, value: at(0.95), unit: "ms" },
        { figure: `${which}: worst of ${CASES}`, value: at(1), unit: "ms" },
        { figure: `${which}: proved the best`, value: exact / CASES, unit: "of 1" },
      );
    }
  return figures;
}
