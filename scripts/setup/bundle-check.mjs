/**
 * What a page makes a phone fetch before it can start: its own script and everything that one
 * imports statically, gzipped as the hub serves it. And what the rig page comes to in all, as an
 * operator who uses every screen in English has it; a place worked out on the phone itself comes on
 * top, with the elements of the eclipse (console/rig/place).
 */
import { existsSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";

/** @typedef {Record<string, {file: string, imports?: string[], dynamicImports?: string[]}>} Manifest */

/** In bytes: the project's own (DEVELOPERS.md, the rig page's scripts). @type {Record<string, number>} */
const FIRST = { rig: 100_000 };
/** @type {Record<string, number>} */
const IN_ALL = { rig: 140_000 };

/**
 * @param {string} root the project's folder, built
 * @returns {Array<{ok: boolean, text: string}>}
 */
export function checkBundles(root) {
  const folder = join(root, "build", "console");
  /** @type {Manifest} */
  const manifest = Object.assign(
    {},
    ...["manifest", "manifest-rig"].map((name) =>
      JSON.parse(readFileSync(join(folder, ".vite", `${name}.json`), "utf8")),
    ),
  );
  return ["lead", "rig", "board", "trust", "clock", "drill"].flatMap((page) => {
    const html = readFileSync(join(folder, page, "index.html"), "utf8");
    const outside = html.match(/(?:src|href)="(?:https?:)?\/\/[^"]*"/g) || [];
    const weigh = (/** @type {string[]} */ files) =>
      files.reduce((sum, file) => sum + gzipBytes(join(folder, file)), 0);
    const checks = [
      {
        ok: outside.length === 0,
        text: `${page} page asks for nothing from outside ${outside.join(" ")}`.trim(),
      },
    ];
    const hold = (
      /** @type {string} */ what,
      /** @type {number} */ bytes,
      /** @type {number | undefined} */ limit,
    ) => {
      const text = `${page} page: ${(bytes / 1000).toFixed(1)} kB of gzipped JavaScript ${what}`;
      if (limit) checks.push({ ok: bytes <= limit, text: `${text}, at most ${limit / 1000} kB` });
      else console.log(`  ${text}`);
    };
    const entry = `${page}/index.html`;
    hold("before the first draw", weigh(scriptsOf(manifest, entry)), FIRST[page]);
    if (IN_ALL[page]) hold("in all, in English", weigh(scriptsOf(manifest, entry, true)), IN_ALL[page]);
    return checks;
  });
}

/** Asked for by a few phones only: words and clips of other languages, and the solver for a moved site. */
const NOT_FOR_ALL = /(words|clips)\/(es|fr|ar)\b|rig\/place\/place-part/;

/**
 * @param {Manifest} manifest @param {string} entry
 * @param {boolean} [inAll] with what is imported on demand
 * @returns {string[]}
 */
function scriptsOf(manifest, entry, inAll = false) {
  const seen = new Set();
  const todo = [entry];
  for (let key = todo.pop(); key !== undefined; key = todo.pop()) {
    const chunk = manifest[key];
    if (!chunk) throw new Error(`the build has no ${key}`);
    if (seen.has(key)) continue;
    seen.add(key);
    todo.push(...(chunk.imports || []));
    if (inAll) todo.push(...(chunk.dynamicImports || []).filter((later) => !NOT_FOR_ALL.test(later)));
  }
  return Object.entries(manifest).flatMap(([key, { file }]) =>
    seen.has(key) && file.endsWith(".js") ? [file] : [],
  );
}

/** @param {string} file */
function gzipBytes(file) {
  return existsSync(`${file}.gz`) ? statSync(`${file}.gz`).size : gzipSync(readFileSync(file)).length;
}
