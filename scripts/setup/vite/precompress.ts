/**
 * Writes a .gz and a .br beside every built text file worth it, so that the hub never compresses
 * while it serves. Fonts, pictures and sound are compressed already and stay alone.
 */
import { readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { brotliCompress, constants, gzip } from "node:zlib";
import { gzipAsync } from "@gfx/zopfli";
import type { Plugin } from "vite";

const TEXT = /\.(html|js|mjs|css|json|svg|webmanifest|txt|wasm)$/;
/** Below this many bytes a reply fits one packet either way. */
const LEAST_BYTES = 1024;
/**
 * What every phone fetches, on plain http gzipped: packed as tightly as gzip can, 3.5 % smaller, for
 * four seconds at the build.
 */
const FOR_PHONES =
  /(^|[\\/])(rig|socket-client|engine|phone|run|plan|kinds|pieces|facts|words-for-[a-z]+)-[^\\/]*\.js$/;
/** Above this brotli's last two steps cost seconds and gain little. */
const LARGE_BYTES = 400_000;

export function precompressPlugin(): Plugin {
  return {
    name: "noonfall-precompress",
    apply: "build",
    // Not closeBundle: that one is called after a failed build, too, and would hide its reason.
    writeBundle: {
      order: "post",
      sequential: true,
      async handler({ dir }) {
        if (dir) await precompressFolder(dir);
      },
    },
  };
}

/** Compresses every text file under the folder; returns how many files it did. */
export async function precompressFolder(folder: string): Promise<number> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  const files = entries
    .filter((entry) => entry.isFile() && TEXT.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name));
  // zlib works in threads of its own, so all at once uses every core.
  const done = await Promise.all(files.map(compressFile));
  return done.filter(Boolean).length;
}

async function compressFile(file: string): Promise<boolean> {
  const body = await readFile(file);
  if (body.length < LEAST_BYTES) return false;
  const params = {
    [constants.BROTLI_PARAM_QUALITY]: body.length > LARGE_BYTES ? 9 : 11,
    [constants.BROTLI_PARAM_SIZE_HINT]: body.length,
  };
  const [zipped, brotlied] = await Promise.all([
    FOR_PHONES.test(file) ? gzipAsync(body, {}) : promisify(gzip)(body, { level: 9 }),
    promisify(brotliCompress)(body, { params }),
  ]);
  await Promise.all([writeFile(`${file}.gz`, zipped), writeFile(`${file}.br`, brotlied)]);
  return true;
}
