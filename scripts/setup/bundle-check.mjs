/**
 * What a page makes a phone fetch before it can start: its own script and everything that one
 * imports statically, gzipped as the hub serves it.
 */
import { existsSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";

/** In bytes. The rig page's limit is the project's own (DEVELOPERS.md, numbers to reach). */
const LIMITS = { rig: 110_000 };

/**
 * @param {string} root the project's folder, built
 * @returns {Array<{ok: boolean, text: string}>}
 */
export function checkBundles(root) {
  const folder = join(root, "build", "console");
  /** @type {Record<string, {file: string, imports?: string[]}>} */
  const manifest = Object.assign(
    {},
    ...["manifest", "manifest-rig"].map((name) =>
      JSON.parse(readFileSync(join(folder, ".vite", `${name}.json`), "utf8")),
    ),
  );
  return ["lead", "rig", "board", "trust"].flatMap((page) => {
    const html = readFileSync(join(folder, page, "index.html"), "utf8");
    const outside = html.match(/(?:src|href)="(?:https?:)?\/\/[^"]*"/g) || [];
    const bytes = scriptsOf(manifest, `${page}/index.html`)
      .map((file) => gzipBytes(join(folder, file)))
      .reduce((sum, size) => sum + size, 0);
    const limit = /** @type {Record<string, number>} */ (LIMITS)[page];
    const checks = [
      {
        ok: outside.length === 0,
        text: `${page} page asks for nothing from outside ${outside.join(" ")}`.trim(),
      },
    ];
    const size = `${page} page: ${(bytes / 1000).toFixed(1)} kB of gzipped JavaScript on first load`;
    if (limit) checks.push({ ok: bytes <= limit, text: `${size}, at most ${limit / 1000} kB` });
    else console.log(`  ${size}`);
    return checks;
  });
}

/**
 * @param {Record<string, {file: string, imports?: string[]}>} manifest
 * @param {string} key @param {Set<string>} [seen] @returns {string[]}
 */
function scriptsOf(manifest, key, seen = new Set()) {
  const chunk = manifest[key];
  if (!chunk) throw new Error(`the build has no page ${key}`);
  if (seen.has(key)) return [];
  seen.add(key);
  return [chunk.file, ...(chunk.imports || []).flatMap((next) => scriptsOf(manifest, next, seen))];
}

/** @param {string} file */
function gzipBytes(file) {
  return existsSync(`${file}.gz`) ? statSync(`${file}.gz`).size : gzipSync(readFileSync(file)).length;
}
