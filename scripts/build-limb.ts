/**
 * Writes shared/eclipse/limb-table.json, the Moon's heights near its limb, from LOLA's LDEM_4.
 * Run: npx tsx scripts/build-limb.ts PATH/TO/LDEM_4.IMG. The raw file is not part of the project;
 * it is PDS product LDEM_4 of LRO-L-LOLA-4-GDR. Same input, same bytes.
 */
import { readFileSync, writeFileSync } from "node:fs";
import { packBelt } from "../shared/eclipse/limb-belt.ts";
import { ldem4 } from "./limb/read-ldem.ts";
import { withinReach } from "./limb/within-reach.ts";

const TARGET = new URL("../shared/eclipse/limb-table.json", import.meta.url);

const source = process.argv[2];
if (source === undefined) {
  process.stderr.write("Usage: npx tsx scripts/build-limb.ts PATH/TO/LDEM_4.IMG\n");
  process.exitCode = 2;
} else {
  const packed = packBelt(
    "NASA PDS LRO-L-LOLA-4-GDR-V1.0 LDEM_4",
    (line, sample) => withinReach(90 - (line + 0.5) / 4, (sample + 0.5) / 4),
    ldem4(readFileSync(source)),
  );
  const text = `${JSON.stringify(packed)}\n`;
  writeFileSync(TARGET, text);
  process.stdout.write(`${Math.floor((packed.heights.length * 3) / 4)} heights, ${text.length} bytes\n`);
}
