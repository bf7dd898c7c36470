/** The clock bench itself, started by scripts/bench-clock.mjs through tsx; its options are there. */
import { writeFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { printPages, runPages } from "./clock-pages.ts";
import { missing, runRig } from "./clock-run.ts";
import { printTable, scoreBench } from "./clock-table.ts";

const { values } = parseArgs({
  options: {
    quick: { type: "boolean", default: false },
    sync: { type: "string" },
    hold: { type: "string" },
    devices: { type: "string", default: "8" },
    profiles: { type: "string", default: "clean,good,busy,awful,outage" },
    json: { type: "boolean", default: false },
    seed: { type: "string", default: "1" },
    record: { type: "string" },
    pages: { type: "string" },
    "pages-only": { type: "boolean", default: false },
  },
});

/** Seconds of following on rig pages; 0 leaves them out. */
const pagesS = Number(values.pages ?? (values.quick ? 0 : 60));
const lacks = missing(pagesS > 0);
if (lacks.length > 0) {
  console.error(`bench:clock cannot run here. Missing:\n${lacks.map((m) => `  - ${m}`).join("\n")}`);
  process.exit(2);
}
const syncS = Number(values.sync ?? (values.quick ? 60 : 300));
const holdS = Number(values.hold ?? (values.quick ? 30 : 300));
const perProfile = Number(values.devices);
for (const [name, value] of Object.entries({ sync: syncS, hold: holdS, devices: perProfile }))
  if (!Number.isInteger(value) || value < 0) throw new Error(`--${name} must be a whole number`);

if (values["pages-only"]) process.exit((await pages()) ? 0 : 1);

const record = await runRig({
  lab: `nfc${process.pid % 10_000}`,
  profiles: values.profiles.split(","),
  perProfile,
  syncS,
  holdS,
  chrony: true,
  exchanges: values.record !== undefined,
  seed: Number(values.seed),
  log: (line) => console.error(line),
});
if (values.record !== undefined) writeFileSync(values.record, JSON.stringify(record));
const rows = scoreBench(record, holdS);
if (values.json) for (const row of rows) console.log(JSON.stringify({ bench: "clock", ...row }));
const { text, reached } = printTable(rows, syncS, holdS);
console.log(text);
const pagesReached = pagesS > 0 ? await pages() : true;
process.exit((reached && pagesReached) || values.quick ? 0 : 1);

async function pages(): Promise<boolean> {
  const profiles = ["clean", "good", "busy"];
  const seconds = pagesS > 0 ? pagesS : 60;
  const printed = printPages(await runPages(profiles, seconds, (line) => console.error(line)), seconds);
  console.log(printed.text);
  return printed.reached;
}
