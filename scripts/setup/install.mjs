/**
 * Brings node_modules to what package-lock.json says, and does nothing when it is there already.
 *
 * A stamp inside node_modules is written after a complete install only, so an install that was
 * cut off is done again. It names the lock file's content, the system and Node's binary
 * interface: a folder carried to another machine, or an upgraded Node, installs afresh. The old
 * packages are kept aside until the new ones are there and come back if that fails (no network).
 */
import { createHash } from "node:crypto";
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { runNpm } from "./run-program.mjs";

const STAMP = ".noonfall-install.json";
const NATIVE = join("better-sqlite3", "build", "Release", "better_sqlite3.node");

/**
 * @param {string} root the project's folder
 * @param {{dev: boolean, say?: (text: string) => void, meanwhile?: () => Promise<void>}} options
 *   dev: with what tests need; meanwhile: work for the other processors while SQLite is compiled,
 *   which takes one of them for minutes (must not need SQLite, and is waited for)
 * @returns {Promise<{ok: true, installed: boolean} | {ok: false, message: string}>}
 */
export async function ensureInstalled(root, options) {
  const say = options.say || console.log;
  if (isInstalled(root, options.dev)) return { ok: true, installed: false };

  const modules = join(root, "node_modules");
  const aside = join(root, "build", "node_modules.before");
  const putBack = () => {
    if (!existsSync(aside)) return false;
    rmSync(modules, { recursive: true, force: true });
    return moveAside(aside, modules);
  };
  // An install that was killed left the last complete packages aside.
  if (existsSync(join(aside, STAMP)) && putBack() && isInstalled(root, options.dev)) {
    return { ok: true, installed: false };
  }
  rmSync(aside, { recursive: true, force: true });
  moveAside(modules, aside);

  say(`Installing packages${options.dev ? " (with those for tests)" : ""}; this takes a minute or two …`);
  const args = ["ci", options.dev ? "--include=dev" : "--omit=dev", "--include=optional", "--ignore-scripts"];
  args.push("--no-audit", "--no-fund", "--loglevel=error", "--prefer-offline");
  const run = { cwd: root, env: installEnvironment(), timeoutMs: 45 * 60_000, onInterrupt: putBack };
  const result = await runNpm(args, run);
  if (result.code === 0 && (await ensureNative(root, aside, run, options.meanwhile))) {
    writeStamp(root, options.dev);
    rmSync(aside, { recursive: true, force: true });
    return { ok: true, installed: true };
  }
  return { ok: false, message: complaint(result.code !== 0, putBack()) };
}

/**
 * The one package that needs more than its files: SQLite's binary is fetched or compiled, which
 * takes minutes on a small machine, so the one that was here is used again where it fits.
 * @param {string} root @param {string} aside where the packages were moved
 * @param {import("./run-program.mjs").RunOptions} run
 * @param {() => Promise<void>} [meanwhile]
 */
async function ensureNative(root, aside, run, meanwhile) {
  if (!lists(root, "better-sqlite3")) return true;
  const file = join(root, "node_modules", NATIVE);
  const before = join(aside, NATIVE);
  const version = (/** @type {string} */ folder) =>
    readJson(join(folder, "better-sqlite3", "package.json"))?.version;
  const fits =
    readJson(join(aside, STAMP))?.machine === machine() &&
    version(aside) === version(join(root, "node_modules"));
  if (fits && existsSync(before)) {
    mkdirSync(dirname(file), { recursive: true });
    copyFileSync(before, file);
    return true;
  }
  const [rebuilt] = await Promise.all([
    runNpm(["rebuild", "better-sqlite3", "--ignore-scripts=false", "--loglevel=error"], run),
    meanwhile?.(),
  ]);
  return rebuilt.code === 0 && existsSync(file);
}

/**
 * Whether every package that the lock file names is there. Reads files only, except that a folder
 * which somebody installed by hand gets its stamp.
 * @param {string} root @param {boolean} dev @returns {boolean}
 */
export function isInstalled(root, dev) {
  const modules = join(root, "node_modules");
  const wanted = readJson(join(root, "package-lock.json"))?.packages;
  if (!wanted || !existsSync(modules)) return false;
  if (lists(root, "better-sqlite3") && !existsSync(join(modules, NATIVE))) return false;
  const stamp = readJson(join(modules, STAMP));
  if (stamp) {
    const fits = stamp.lock === lockHash(root) && stamp.machine === machine() && (stamp.dev || !dev);
    return fits && neededPaths(wanted, dev).every((path) => isThere(root, path));
  }
  // Somebody ran npm by hand: npm's own record, written last, tells the versions.
  const present = readJson(join(modules, ".package-lock.json"))?.packages;
  if (!present) return false;
  const complete = neededPaths(wanted, dev).every(
    (path) => present[path]?.version === wanted[path].version && isThere(root, path),
  );
  if (complete) writeStamp(root, dev);
  return complete;
}

/** @param {Record<string, any>} packages of a lock file @param {boolean} dev @returns {string[]} */
function neededPaths(packages, dev) {
  return Object.keys(packages).filter((path) => {
    const entry = packages[path];
    if (!path.startsWith("node_modules/") || entry.optional || entry.peer) return false;
    return dev || !(entry.dev || entry.devOptional);
  });
}

/** @param {string} root @param {string} path */
function isThere(root, path) {
  return existsSync(join(root, ...path.split("/"), "package.json"));
}

/** @param {string} root @param {boolean} dev */
function writeStamp(root, dev) {
  const stamp = { lock: lockHash(root), machine: machine(), dev };
  mkdirSync(join(root, "node_modules"), { recursive: true });
  writeFileSync(join(root, "node_modules", STAMP), `${JSON.stringify(stamp)}\n`);
}

/** @param {string} root */
function lockHash(root) {
  return createHash("sha256")
    .update(readFileSync(join(root, "package-lock.json")))
    .digest("hex");
}

function machine() {
  return `${process.platform}-${process.arch}-${process.versions.modules}`;
}

/** @param {string} root @param {string} name */
function lists(root, name) {
  return Boolean(readJson(join(root, "package-lock.json"))?.packages?.[`node_modules/${name}`]);
}

/** A native package that must be compiled finds Node's headers beside Node, without a download. */
function installEnvironment() {
  const env = { ...process.env };
  const prefix = dirname(dirname(process.execPath));
  if (!env.npm_config_nodedir && existsSync(join(prefix, "include", "node", "node.h"))) {
    env.npm_config_nodedir = prefix;
  }
  return env;
}

/** @param {string} from @param {string} to */
function moveAside(from, to) {
  if (!existsSync(from)) return false;
  try {
    mkdirSync(dirname(to), { recursive: true });
    renameSync(from, to);
    return true;
  } catch {
    return false; // In use (Windows) or on another disk: npm replaces it in place.
  }
}

/** @param {boolean} npmFailed @param {boolean} kept */
function complaint(npmFailed, kept) {
  const lines = [
    npmFailed
      ? "The packages could not be installed (npm's words are above)."
      : "The SQLite binary could neither be fetched nor built (npm's words are above).",
    "The first start needs the internet once. Where the SQLite binary must be built it also needs a",
    "compiler: on Debian `apt-get install g++ make python3`, on macOS `xcode-select --install`, on",
    "Windows the C++ build tools.",
  ];
  if (kept) lines.push("The packages that were here before have been put back.");
  return lines.join("\n");
}

/** @param {string} file @returns {any} undefined when missing or broken */
function readJson(file) {
  try {
    return JSON.parse(readFileSync(file, "utf8"));
  } catch {
    return undefined;
  }
}
