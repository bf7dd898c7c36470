/**
 * Builds the three pages into build/console: lead/, rig/ and board/index.html, with everything
 * else under assets/ by content hash (to be served as immutable), compressed ahead. Each page
 * loads only its own script, its own style and the chunks it shares with the others.
 */
import react from "@vitejs/plugin-react";
import { defineConfig } from "vite";
import { precompressPlugin } from "../scripts/setup/vite/precompress.ts";
import { wordsPlugin } from "../scripts/setup/vite/words.ts";

const here = import.meta.dirname;

export default defineConfig({
  root: here,
  base: "/",
  publicDir: "public",
  cacheDir: "../node_modules/.vite",
  plugins: [wordsPlugin(), react(), precompressPlugin()],
  build: {
    outDir: "../build/console",
    emptyOutDir: true,
    // Phones of several years ago still join: syntax is lowered to these.
    target: ["es2021", "chrome94", "edge94", "firefox93", "safari15"],
    // Nothing inlined: the content security policy allows no data: fonts or scripts.
    assetsInlineLimit: 0,
    // .vite/manifest.json: read by the bundle check and, later, by the service worker.
    manifest: true,
    reportCompressedSize: false,
    rolldownOptions: {
      input: {
        lead: `${here}/lead/index.html`,
        rig: `${here}/rig/index.html`,
        board: `${here}/board/index.html`,
      },
    },
  },
});
