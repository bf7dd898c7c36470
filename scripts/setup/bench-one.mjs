/** Runs one bench (argument: its name) and prints its figures; started by bench.mjs through tsx. */
const name = process.argv[2] ?? "";
const write = console.log;
console.log = console.error;
const bench = await import(new URL(`../bench/${name}.ts`, import.meta.url).href);
if (typeof bench.run !== "function") throw new Error(`scripts/bench/${name}.ts exports no run()`);
const figures = await bench.run();
if (!Array.isArray(figures) || figures.length === 0) throw new Error(`bench ${name} gave no figures`);
for (const { figure, value, unit } of figures) {
  if (typeof figure !== "string" || !Number.isFinite(value) || typeof unit !== "string") {
    throw new Error(`bench ${name}: not a figure: ${JSON.stringify({ figure, value, unit })}`);
  }
  write(JSON.stringify({ bench: name, figure, value, unit }));
}
// A socket or timer left open by the bench must not keep us.
process.exit(0);
