/**
 * `npm start`: sets the folder up when that is needed, then becomes the hub.
 *
 * This file runs before any package is there and on any Node, so it is plain JavaScript, and it
 * loads everything else only after it has looked at Node's version.
 */
import { readFileSync } from "node:fs";

const root = new URL("..", import.meta.url);

async function start() {
  const { engines } = JSON.parse(readFileSync(new URL("package.json", root), "utf8"));
  const { nodeComplaint } = await import("./setup/node-version.mjs");
  const complaint = nodeComplaint(process.versions.node, engines.node);
  if (complaint) return complaint;

  const { fileURLToPath } = await import("node:url");
  const { makeReady } = await import("./setup/ready.mjs");
  const failure = await makeReady(fileURLToPath(root), { dev: false });
  if (failure) return failure;

  process.setSourceMapsEnabled(true);
  await import(new URL("build/hub/main.js", root).href);
  return undefined;
}

start().then(
  (failure) => {
    if (!failure) return;
    console.error(`\n${failure}`);
    process.exit(1);
  },
  (error) => {
    console.error(error);
    process.exit(1);
  },
);
