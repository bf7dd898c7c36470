/** What eclipse geometry costs: time per site, path and limb profile, and bytes shipped. */

import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build } from "vite";
import { centralPath } from "../../shared/eclipse/central-path.ts";
import { circumstances } from "../../shared/eclipse/circumstances.ts";
import { limbEffect } from "../../shared/eclipse/limb-effect.ts";
import { limbBelt } from "../../shared/eclipse/limb-table.ts";
import { eclipseById } from "../../shared/eclipse/table.ts";

export interface Figure {
  figure: string;
  value: number;
  unit: string;
}

const SITES = 3000;
const PATHS = 12;
const LIMBS = 12;

export async function run(): Promise<Figure[]> {
  const elements = eclipseById("2027-08-02");
  if (!elements) throw new Error("the table lacks 2027-08-02");
  // A spread of sites: total, partial, sunset and none.
  const site = (i: number) => ({ latDeg: -20 + (i % 89), lonDeg: -60 + ((i * 7) % 150), heightM: 100 });
  const onPath = { latDeg: 25.5, lonDeg: 33.2, heightM: 0 };
  const belt = limbBelt();
  return [
    {
      figure: "eclipse.circumstances per site, with timing bound",
      value: millisecondsEach(SITES, (i) => circumstances(elements, site(i))) * 1000,
      unit: "µs",
    },
    {
      figure: "eclipse.circumstances per site on the central line",
      value: millisecondsEach(SITES, () => circumstances(elements, onPath)) * 1000,
      unit: "µs",
    },
    {
      figure: "eclipse.central path, 240 instants",
      value: millisecondsEach(PATHS, () => centralPath(elements)),
      unit: "ms",
    },
    {
      figure: "eclipse.limb profile, shifts and beads per site",
      value: millisecondsEach(LIMBS, () => limbEffect(belt, elements, onPath)),
      unit: "ms",
    },
    { figure: "eclipse.table of elements shipped", ...bytesOf("elements-table.json"), unit: "bytes" },
    { figure: "eclipse.table of the limb shipped", ...bytesOf("limb-table.json"), unit: "bytes" },
    { figure: "eclipse.solver for a page, gzipped", value: await solverBytes(), unit: "bytes" },
  ].map((f) => ({ ...f, value: Math.round(f.value * 100) / 100 }));
}

/** Mean of the best third of single runs, after warming up: other work on the machine is not measured. */
function millisecondsEach(times: number, work: (i: number) => unknown): number {
  for (let i = 0; i < Math.max(3, times / 4); i++) work(i);
  const took = Array.from({ length: times }, (_, i) => {
    const from = performance.now();
    work(i);
    return performance.now() - from;
  }).sort((a, b) => a - b);
  const best = took.slice(0, Math.ceil(times / 3));
  return best.reduce((sum, ms) => sum + ms, 0) / best.length;
}

function bytesOf(name: string): { value: number } {
  return { value: readFileSync(new URL(`../../shared/eclipse/${name}`, import.meta.url)).length };
}

/** The solver as a page gets it: circumstances and what it needs, minified, without any table. */
async function solverBytes(): Promise<number> {
  const output = await build({
    configFile: false,
    logLevel: "silent",
    build: {
      write: false,
      lib: {
        entry: fileURLToPath(new URL("../../shared/eclipse/circumstances.ts", import.meta.url)),
        formats: ["es"],
        fileName: "solver",
      },
    },
  });
  const outputs = Array.isArray(output) ? output : [output];
  const code = outputs
    .flatMap((o) => ("output" in o ? o.output : []))
    .map((o) => (o.type === "chunk" ? o.code : ""));
  return gzipSync(code.join("")).length;
}
