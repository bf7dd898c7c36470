/**
 * `npm run check`: types, lint and the pure tests, in less than a minute once packages are there;
 * what to run before each commit. `npm test` runs everything.
 */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { ensureInstalled } from "./setup/install.mjs";
import { nodeComplaint } from "./setup/node-version.mjs";
import { checkPure, startTally } from "./setup/tally.mjs";
import { inTurn } from "./setup/turn.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const tally = startTally(root, join(root, "build", "check"));

async function main() {
  const { engines } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  const complaint = nodeComplaint(process.versions.node, engines.node);
  if (complaint) return tally.count(false, complaint);
  const turn = join(root, "build", "setup.pid");
  const installed = await inTurn(turn, () => ensureInstalled(root, { dev: true }));
  if (!installed.ok) return tally.count(false, installed.message);
  await checkPure(tally, ["pure"]);
}

main()
  .catch((error) => {
    console.error(error);
    tally.count(false, String(error));
  })
  .then(() => tally.end());
