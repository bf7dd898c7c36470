/**
 * `npm run practise`: forty seeded practice runs against what was put into them, as one JSON line; ends
 * with 1 when something was found, which stands on the error channel. `-- --runs N --seed N` plays others.
 */
import { parseArgs } from "node:util";
import { play } from "./play.ts";

const { values } = parseArgs({
  options: { runs: { type: "string", default: "40" }, seed: { type: "string", default: "1" } },
});
const [runs, first] = [Number(values.runs), Number(values.seed)];
if (!Number.isInteger(runs) || runs < 1 || runs > 10_000 || !Number.isInteger(first)) {
  console.error("--runs must be a whole number from 1 to 10000, --seed a whole number");
  process.exit(2);
}
const sums = {
  runs: 0,
  dangers: 0,
  alerts: 0,
  scores: 0,
  slowestDangerMs: 0,
  mostOfOneCause: 0,
  findings: 0,
};
for (let n = 0; n < runs; n++) {
  const played = play(String(first + n));
  sums.runs++;
  sums.dangers += played.dangers;
  sums.alerts += played.alerts;
  sums.scores += played.scores;
  sums.slowestDangerMs = Math.max(sums.slowestDangerMs, played.slowestDangerMs);
  sums.mostOfOneCause = Math.max(sums.mostOfOneCause, played.mostOfOneCause);
  sums.findings += played.findings.length;
  for (const finding of played.findings) console.error(finding);
}
console.log(JSON.stringify(sums));
process.exitCode = sums.findings > 0 ? 1 : 0;
