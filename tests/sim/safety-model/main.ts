/**
 * `npm run model -- [--sequences N] [--seed N] [--shrink N] [--only TEXT]`: runs so many random
 * sequences from a seed on and prints one JSON line; ends with 1 when a rule was broken. What was
 * found stands on the error channel, made small, as a literal for regressions.ts (`--shrink`: of
 * how many codes; 5 unless told). `--only` looks at codes with this text alone.
 */
import { parseArgs } from "node:util";
import { generate } from "./generate.ts";
import { addMet, NOTHING_MET, runSequence, shrink } from "./run-model.ts";

const { values } = parseArgs({
  options: {
    sequences: { type: "string", default: "20000" },
    seed: { type: "string", default: "1" },
    shrink: { type: "string", default: "5" },
    only: { type: "string", default: "" },
  },
});
const count = whole("sequences", values.sequences);
const first = whole("seed", values.seed);
const small = whole("shrink", values.shrink);

function refuse(why: string): never {
  console.error(why);
  process.exit(2);
}

function whole(name: string, text: string): number {
  const number = Number(text);
  if (!Number.isInteger(number) || number < 0)
    return refuse(`--${name} must be a whole number, not "${text}"`);
  return number;
}

const began = performance.now();
const found = new Map<string, { count: number; seed: number; atS: number; detail: string }>();
let met = NOTHING_MET;
let looks = 0;
let steps = 0;
let failed = 0;
for (let seed = first; seed < first + count; seed++) {
  const sequence = generate(seed);
  const outcome = runSequence(sequence);
  looks += outcome.looks;
  met = addMet(met, outcome.met);
  steps += sequence.steps.length;
  const findings = [...outcome.findings.values()].filter(({ code }) => code.includes(values.only));
  if (findings.length > 0) failed++;
  for (const { code, atS, detail } of findings) {
    const had = found.get(code);
    if (had) had.count++;
    else found.set(code, { count: 1, seed, atS, detail });
  }
}
const sorted = [...found].sort(([a], [b]) => (a < b ? -1 : 1));
for (const [code, { seed }] of sorted.slice(0, small)) {
  const least = shrink(generate(seed), code);
  console.error(`{ name: ${JSON.stringify(`${code} (seed ${seed})`)},`);
  console.error(`  world: ${JSON.stringify(least.world)},`);
  console.error(`  steps: [\n${least.steps.map((step) => `    ${JSON.stringify(step)},\n`).join("")}  ] },`);
}
console.log(
  JSON.stringify({
    sequences: count,
    seed: first,
    steps,
    looks,
    seconds: Math.round((performance.now() - began) / 100) / 10,
    failed,
    met,
    found: Object.fromEntries(sorted),
  }),
);
process.exitCode = failed > 0 ? 1 : 0;
