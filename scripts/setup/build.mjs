/**
 * Builds pages and hub into build/, and does nothing when they are built from what is there now
 * (by content, so that a fresh checkout or a copied folder does not build again for its dates).
 */
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { runProgram } from "./run-program.mjs";

const SOURCES = ["shared", "hub", "console", join("scripts", "setup", "vite"), "package-lock.json"];
const PROGRAMS = ["main.js", "relay.js", "agent.js"];
const RESULTS = [...PROGRAMS.map((name) => join("hub", name)), join("console", ".vite", "manifest.json")];

/**
 * @param {string} root the project's folder
 * @param {{say?: (text: string) => void}} [options]
 * @returns {Promise<{ok: true, built: boolean} | {ok: false, message: string}>}
 */
export async function ensureBuilt(root, options = {}) {
  const say = options.say || console.log;
  const build = join(root, "build");
  const stampFile = join(build, "stamp.txt");
  if (isBuilt(root)) return { ok: true, built: false };
  const stamp = sourcesHash(root);
  say("Building the pages and the hub …");
  rmSync(stampFile, { force: true });
  mkdirSync(build, { recursive: true });
  const vite = join(root, "node_modules", "vite", "bin", "vite.js");
  const results = await Promise.all(
    ["console", "hub"].map((room) =>
      runProgram(
        process.execPath,
        [vite, "build", "--logLevel", "warn", "--config", join(root, room, "vite.config.ts")],
        { cwd: root, env: { ...process.env, NODE_ENV: "production" }, timeoutMs: 10 * 60_000 },
      ),
    ),
  );
  if (results.some((result) => result.code !== 0)) {
    return { ok: false, message: "The build failed; what is wrong stands above." };
  }
  writeFileSync(stampFile, stamp);
  return { ok: true, built: true };
}

/** Whether build/ was made from the sources as they are now. @param {string} root @returns {boolean} */
export function isBuilt(root) {
  const build = join(root, "build");
  if (!RESULTS.every((result) => existsSync(join(build, result)))) return false;
  return readText(join(build, "stamp.txt")) === sourcesHash(root);
}

/** @param {string} root @returns {string} */
function sourcesHash(root) {
  const hash = createHash("sha256");
  for (const source of SOURCES) {
    for (const file of filesOf(root, source)) {
      hash.update(`${file.replaceAll("\\", "/")}\0`);
      hash.update(readFileSync(join(root, file)));
    }
  }
  return hash.digest("hex");
}

/** Sorted, so that every system gives the same hash. @param {string} root @param {string} path @returns {string[]} */
function filesOf(root, path) {
  const full = join(root, path);
  if (!existsSync(full)) return [];
  let entries;
  try {
    entries = readdirSync(full, { withFileTypes: true });
  } catch {
    return [path];
  }
  return entries
    .filter((entry) => !entry.name.startsWith("."))
    .sort((a, b) => (a.name < b.name ? -1 : 1))
    .flatMap((entry) => {
      const inside = join(path, entry.name);
      if (entry.isDirectory()) return filesOf(root, inside);
      return entry.isFile() ? [inside] : [];
    });
}

/** @param {string} file */
function readText(file) {
  try {
    return readFileSync(file, "utf8");
  } catch {
    return undefined;
  }
}
