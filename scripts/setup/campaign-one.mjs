/** Runs one part of the campaign and prints its figures; started by campaign.mjs through tsx. */
const [name = "", options = "{}"] = process.argv.slice(2);
const write = console.log;
console.log = console.error;
const part = await import(new URL(`../campaign/parts/${name}.ts`, import.meta.url).href);
const figures = await part.run(JSON.parse(options), (/** @type {string} */ line) =>
  console.error(`${name}: ${line}`),
);
let findings = 0;
for (const { figure, value, unit, most, least } of figures) {
  if (typeof figure !== "string" || !Number.isFinite(value) || typeof unit !== "string") {
    throw new Error(`${name}: not a figure: ${JSON.stringify({ figure, value, unit })}`);
  }
  const finding = (most !== undefined && value > most) || (least !== undefined && value < least);
  if (finding) findings++;
  write(JSON.stringify({ part: name, figure, value, unit, ...(finding && { finding: true }) }));
}
// A socket or timer left open by the part must not keep us.
process.exit(findings > 0 ? 3 : 0);
