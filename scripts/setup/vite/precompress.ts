/**
 * Writes a .gz and a .br beside every built text file worth it, so that the hub never compresses
 * while it serves. Fonts, pictures and sound are compressed already and stay alone.
 */
import { readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { brotliCompress, constants, gzip } from "node:zlib";
import type { Plugin } from "vite";

const TEXT = /\.(html|js|mjs|css|json|svg|webmanifest|txt|wasm)$/;
/** Below this many bytes a reply fits one packet either way. */
const LEAST_BYTES = 1024;

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
  let done = 0;
  for (const entry of await readdir(folder, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile() || !TEXT.test(entry.name)) continue;
    const file = join(entry.parentPath, entry.name);
    const body = await readFile(file);
    if (body.length < LEAST_BYTES) continue;
    const [zipped, brotlied] = await Promise.all([
      promisify(gzip)(body, { level: 9 }),
      promisify(brotliCompress)(body, {
        params: {
          [constants.BROTLI_PARAM_QUALITY]: 11,
          [constants.BROTLI_PARAM_SIZE_HINT]: body.length,
        },
      }),
    ]);
    await writeFile(`${file}.gz`, zipped);
    await writeFile(`${file}.br`, brotlied);
    done++;
  }
  return done;
}
