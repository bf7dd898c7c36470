/**
 * `npm run after -- --site FILE --rig ID [--json] [--write] FOLDER…`: sets the folder up when that is
 * needed, then puts images and videos in their place (hub/after). Standard output is for the result alone.
 */
import { readFileSync } from "node:fs";

const root = new URL("..", import.meta.url);

async function main() {
  const { engines } = JSON.parse(readFileSync(new URL("package.json", root), "utf8"));
  const { nodeComplaint } = await import("./setup/node-version.mjs");
  const complaint = nodeComplaint(process.versions.node, engines.node);
  if (complaint) return complaint;

  const { fileURLToPath } = await import("node:url");
  const { makeReady } = await import("./setup/ready.mjs");
  const write = console.log;
  console.log = console.error;
  const failure = await makeReady(fileURLToPath(root), { dev: false });
  console.log = write;
  if (failure) return failure;

  process.setSourceMapsEnabled(true);
  await import(new URL("build/hub/after-main.js", root).href);
  return undefined;
}

main().then(
  (failure) => {
    if (!failure) return;
    console.error(`\n${failure}`);
    process.exitCode = 1;
  },
  (error) => {
    console.error(error);
    process.exitCode = 1;
  },
);
