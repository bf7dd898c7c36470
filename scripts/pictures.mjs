/**
 * Takes the pictures of the README: `node scripts/pictures.mjs [run] [plan] [after]`, all without a word.
 * Needs a build and Debian's chromium and exiftool. What is to be seen is invented.
 */
import { onStage } from "./pictures/stage.mjs";
import { takeAfter } from "./pictures/take-after.mjs";
import { takePlan } from "./pictures/take-plan.mjs";
import { takeRun } from "./pictures/take-run.mjs";

const PARTS = { run: takeRun, plan: takePlan, after: takeAfter };

const asked = process.argv.slice(2);
const unknown = asked.find((name) => !(name in PARTS));
if (unknown !== undefined) {
  console.error(`There are no pictures "${unknown}": there are ${Object.keys(PARTS).join(", ")}.`);
  process.exit(2);
}
for (const [name, take] of Object.entries(PARTS))
  if (asked.length === 0 || asked.includes(name)) await onStage(take);
