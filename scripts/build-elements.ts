/**
 * Writes shared/eclipse/elements-table.json: Besselian elements of every solar eclipse 1990–2100
 * from ELP/MPP02 and VSOP87B. Run: npx tsx scripts/build-elements.ts. Same input, same bytes.
 */
import { writeFileSync } from "node:fs";
import { packRow, type TableRow } from "../shared/eclipse/packed-row.ts";
import { buildRow } from "./elements/build-row.ts";
import { eclipseSeasons } from "./elements/lunations.ts";

const FROM_YEAR = 1990;
const TO_YEAR = 2100;
const TARGET = new URL("../shared/eclipse/elements-table.json", import.meta.url);

const rows = eclipseSeasons(FROM_YEAR, TO_YEAR)
  .map((near) => buildRow(near))
  .filter((row): row is TableRow => row !== null)
  .filter((row) => Number(row.id.slice(0, 4)) >= FROM_YEAR && Number(row.id.slice(0, 4)) <= TO_YEAR);

const text = `${JSON.stringify(rows.map(packRow), null, 0).replaceAll('","', '",\n"')}\n`;
writeFileSync(TARGET, text);
process.stdout.write(`${rows.length} eclipses, ${text.length} bytes\n`);
