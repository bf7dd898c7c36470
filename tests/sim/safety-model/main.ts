/**
 * `npm run model`: runs so many random sequences from a seed on and prints one JSON line; ends with
 * 1 when a rule was broken, with 2 when it was asked wrongly. What was found stands on the error
 * channel, made small, as a literal for regressions.ts.
 */
import { parseArgs } from "node:util";
import { generate } from "./generate.ts";
import { addMet, NOTHING_MET, runSequence, shrink } from "./run-model.ts";

const USAGE = `npm run model -- [options]
Random sequences of what people may do, against an oracle of the safety rules.
  --sequences N   how many (20000)
  --seed N        the first one's seed; the others follow (1)
  --shrink N      of how many kinds of findings one is made small and printed (5)
  --only TEXT     findings whose code has this text alone
  --help          this`;

function refuse(why: string): never {
  console.error(`${why} (--help lists the options)`);
  process.exit(2);
}

function asked() {
  try {
    return parseArgs({
      options: {
        sequences: { type: "string", default: "20000" },
        seed: { type: "string", default: "1" },
        shrink: { type: "string", default: "5" },
        only: { type: "string", default: "" },
        help: { type: "boolean", short: "h", default: false },
      },
    }).values;
  } catch (cause) {
    // Node's own sentence names the option; the rest of it explains how to pass one that begins with a dash.
    return refuse((cause as Error).message.split(/[.\n]/)[0] ?? "The options cannot be read");
  }
}

function whole(name: string, text: string, least: number): number {
  const number = Number(text);
  if (!/^\d+$/.test(text) || !Number.isSafeInteger(number) || number < least)
    return refuse(`--${name} must be a whole number from ${least} on, not "${text}"`);
  return number;
}

const values = asked();
if (values.help) {
  console.log(USAGE);
  process.exit(0);
}
const count = whole("sequences", values.sequences, 1);
const first = whole("seed", values.seed, 0);
const small = whole("shrink", values.shrink, 0);

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
