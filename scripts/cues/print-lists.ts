/** The lists of `npm run cues` on standard output; what is wrong with an argument goes to standard error. */
import { readFileSync } from "node:fs";
import { Solver } from "../../hub/solver.ts";
import { placesAsked } from "./places.ts";
import { type Printed, sheetOf } from "./sheet.ts";

function main(): string | undefined {
  const asked = placesAsked(process.argv.slice(2));
  if ("wrong" in asked) return asked.wrong;
  const solver = new Solver();
  const words = ["plan", "kinds"]
    .map((part) => readFileSync(new URL(`../../console/words/en/${part}.json`, import.meta.url), "utf8"))
    .reduce<Record<string, string>>((all, text) => Object.assign(all, JSON.parse(text)), {});
  const sheets: string[] = [];
  const printed: Printed[] = [];
  for (const [i, place] of asked.places.entries()) {
    const { eclipse, latDeg, lonDeg, heightM, limb } = place;
    const found = solver.circumstances(eclipse, { latDeg, lonDeg, heightM }, { limb });
    if (!found) return `--eclipse: there is no solar eclipse ${eclipse} in the table (1990–2100).`;
    sheets.push(sheetOf(place, found, words, i + 1, printed));
  }
  process.stdout.write(`${sheets.join("\n\n")}\n`);
  return undefined;
}

const wrong = main();
if (wrong) {
  process.stderr.write(`${wrong}\n`);
  process.exitCode = 1;
}
